# Needs: settings.yaml, devices.yaml and the names in the inbox.
# Makes: what the other rules share: the run, the places of files, and what each stands for.

from strapline.ground.report_files import LOOKS, OF_SESSION, OF_STAGE, THEME
from strapline.ground.tables.contracts import IN_PARTS, PUBLIC
from strapline.keeping.provenance import canonical, code_of
from strapline.running.beginning import begin

RUN = begin(workflow, config)
OF_SESSIONS = RUN.settling.of_sessions
PARTS = RUN.taken.parts

RESULTS = str(RUN.own.places.results)
SESSION = f"{RESULTS}/sessions/{{session}}"
RAW = f"{SESSION}/raw/{{raw}}"
PART = f"{RESULTS}/parts/{{part}}"
ARCHIVE = f"{RESULTS}/archive"
DATA = f"{RESULTS}/report/data"


# Files of the report, by what the step that writes them calls them.
def in_report(files):
    return {name: f"{RESULTS}/report/{file.format('{session}')}" for name, file in files.items()}


PAGE = in_report(OF_SESSION)["page"]
OF_REPORT = [path for files in OF_STAGE.values() for path in in_report(files).values()]
SHARED = [f"{RESULTS}/report/{name}" for name in (*LOOKS, THEME)]
FINISHED = [PAGE, f"{SESSION}/ledger.json"]


wildcard_constraints:
    session=RUN.settling.names_of_jobs,
    raw="[0-9a-f]+",
    part="[a-z0-9-]+",


def of_sessions(patterns, sessions=RUN.sessions):
    return expand(patterns, session=sessions)


# A file of every part of the archive.
def of_parts(name):
    return expand(f"{PART}/{name}", part=PARTS)


# The files of some of the archive's tables that are kept in parts.
def in_parts(*tables):
    return expand(f"{ARCHIVE}/{{table}}/{{part}}.parquet", table=tables, part=PARTS)
