# Needs: settings.yaml, devices.yaml and the names in the inbox.
# Makes: what the other rules share: paths, discovery, fingerprints, the pool of workers.

import atexit
import shlex
import sys
import time
from itertools import chain
from pathlib import Path

from strapline.keeping.editions.causes import ALL_STAGES
from strapline.keeping.file_times import not_after
from strapline.running.garbage import search_seldom
from strapline.ground.meanings import meanings
from strapline.keeping.provenance import STAGES, canonical, code_of, fingerprints, sections_read
from strapline.running import closing
from strapline.running.commands.asked import must_be_known
from strapline.running.machine import MachineTrouble
from strapline.running.own_folders import must_be_own
from strapline.keeping.receipts import Order, Places, read_receipt, receipt_path
from strapline.running.refusal import refusing
from strapline.running.run_lock import hold
from strapline.running.scheduling import keep_snakemake_quick, told_to_end
from strapline.ground.records.register import load_register
from strapline.reading.inbox.doubles import doubles
from strapline.reading.inbox.discovery import (
    activity_stated,
    devices_named,
    hints_stated,
    read_inbox,
)
from strapline.running.missing import (
    known_activities,
    known_sessions,
    must_be_there,
    must_hold_most,
)
from strapline.reading.inbox.raw_files import being_copied, contents
from strapline.ground.records.raw_tables import raw_name
from strapline.keeping.as_made.settled import hashed
from strapline.running.unread import broken, closed, is_whole, keeping, locked, without
from strapline.ground.settings import load_settings
from strapline.running.pool import Pool
from strapline.ground.tables.parts import parts
from strapline.running.under_way import clear_half_done
from strapline.ground.versions import mixed, told, versions

search_seldom()

CONFIG = Path(workflow.basedir, "config")

with refusing():
    SETTINGS = load_settings(config.get("settings", CONFIG / "settings.yaml"))
    REGISTER = load_register(config.get("devices", CONFIG / "devices.yaml"))

RESULTS = config.get("results", "results")
SESSION = f"{RESULTS}/sessions/{{session}}"
RAW = f"{SESSION}/raw/{{raw}}"
PLACES = Places(Path(RESULTS), Path(config.get("inbox", "inbox")))

DRY = workflow.output_settings.dryrun
# The demo makes an inbox of its own.
if not {"demo", "--lint"} & set(sys.argv):
    with refusing(only_say=DRY and not PLACES.inbox.is_dir()):
        must_be_there(PLACES)
if workflow.is_main_process:
    with refusing():
        must_be_own(Path(RESULTS))

POOL = Pool(workflow.cores or 1)
if workflow.is_main_process and not DRY:
    POOL.prepare()

# Before anything is looked at, for another run may be changing it; a run that was started by one
# works under that one's lock. Snakemake's own lock is off in the profile.
UNDER_A_LOCK = config.get("lock") == "held"
BEGINS = workflow.is_main_process and not (UNDER_A_LOCK or DRY)
if BEGINS:
    with refusing():
        LOCK = hold(Path(RESULTS))

INBOX = read_inbox(
    PLACES.inbox,
    SETTINGS.clock.time_zone,
    SETTINGS.headings.model_dump(),
    Path(RESULTS),
    being_copied(PLACES.inbox),
)
KNOWN = known_sessions(Path(RESULTS))
CLOSED = closed(INBOX, KNOWN, PLACES.inbox)
if config.get("gone") != "yes":
    with refusing(only_say=DRY):
        must_hold_most({*INBOX.sessions, *INBOX.expected, *CLOSED}, KNOWN, sys.argv[1:])
with refusing():
    stated = (activity_stated(session.card) for session in INBOX.sessions.values())
    must_be_known(SETTINGS, REGISTER.devices, chain(known_activities(Path(RESULTS)), stated))
if BEGINS:
    not_after(PLACES, time.time_ns())
    clear_half_done(PLACES)

CONTENTS = contents(INBOX.raw_files, PLACES.inbox, Path(RESULTS, "raw_files.json"))
# What cannot be read or written now stays as it is; there is no job for it.
LOCKED = locked(INBOX, PLACES)
FAULTS = LOCKED | broken(INBOX, KNOWN, PLACES.inbox, CONTENTS) | CLOSED
UNREAD = {name: why for name, why in FAULTS.items() if name in KNOWN and is_whole(name, PLACES)}
WAITING = LOCKED | doubles(INBOX, CONTENTS, KNOWN)
INBOX = without(INBOX, {name: why for name, why in WAITING.items() if name not in UNREAD})
INBOX = keeping(INBOX, {name: KNOWN[name] for name in UNREAD})
ARCHIVE = f"{RESULTS}/archive"
PART = f"{RESULTS}/parts/{{part}}"
DATA = f"{RESULTS}/report/data"
PARTS = parts(INBOX.sessions)
PAGE = f"{RESULTS}/report/sessions/{{session}}.html"
# The archive's tables that a reader can take away, in the order in which they are told.
TABLES = (
    "standings",
    "findings",
    "comparisons",
    "firmware",
    "faults",
    "conditions",
    "sessions",
    "placements",
    "devices",
    "notices",
)
# And those with rows of every session: a folder each, with a file for every part.
IN_PARTS = ("metrics", "episodes", "courses", "sentences", "consequences")
FINISHED = [PAGE, f"{SESSION}/ledger.json"]
NEW_SESSIONS = [
    name for name in INBOX.sessions if not Path(RESULTS, "sessions", name, "ledger.json").exists()
]
NO_MORE = sorted(
    {path.parent.name for path in Path(RESULTS, "sessions").glob("*/intake.json")}
    - INBOX.sessions.keys()
    - INBOX.expected
    - CLOSED.keys()
)
METHODS = fingerprints(SETTINGS, Path(RESULTS, "code.json"))
# Said last, also by a run that finds nothing to do.
if UNREAD and BEGINS:
    atexit.register(print, closing.unread(UNREAD))
TROUBLES = set()  # what was wrong with the machine in this run, to be said at its end

keep_snakemake_quick()

# How this run starts another.
SNAKEMAKE = shlex.join(
    [sys.executable, "-m", "snakemake", "--snakefile", str(workflow.main_snakefile), "--nolock"]
)


include: "settled.smk"


wildcard_constraints:
    # What is settled is taken as it is: no rule makes it. No session is called '-'.
    session="|".join(UNSETTLED or ["-"]) if SETTLED else "[a-z0-9-]+",
    raw="[0-9a-f]+",
    part="[a-z0-9-]+",


def method(stage):
    """What besides its inputs the stage's results depend on, for Snakemake to compare."""
    return METHODS[stage]


def perform(stage, input, output, raw=(), **arguments):
    """Run a step in a warm worker, with its own settings and nothing else; `raw` are the
    files of the inbox it reads. They are no inputs for Snakemake, which would go by their times."""
    settings = SETTINGS.only(sections_read(stage))
    order = Order(
        stage=stage,
        method=method(stage),
        settings={name: section.model_dump(mode="json") for name, section in settings.items()},
        inputs=(*map(str, input), *raw),
        outputs=tuple(map(str, output)),
        places=PLACES,
        raw={path: CONTENTS[Path(path)] for path in raw},
        devices=arguments.get("register"),
        bench=arguments.get("bench"),
    )
    try:
        given = dict(input.items()) | dict(output.items()) | settings | arguments
        LOOK.note(order, POOL.perform(order, given))
    except MachineTrouble as trouble:
        TROUBLES.add(str(trouble))
        raise


def made_with(*first_outputs):
    """By which versions some jobs were done, in words, as their receipts have it."""
    notes = (receipt_path(PLACES, PLACES.name_of(output)) for output in first_outputs)
    receipts = filter(None, map(read_receipt, notes))
    return " ".join(told(mixed(receipt.versions for receipt in receipts)))


def exports_of(wildcards):
    """The session's raw files."""
    return INBOX.sessions[wildcards.session].exports


def files_of(wildcards):
    """The session's raw files with one content."""
    return [p for p in exports_of(wildcards) if raw_name(CONTENTS[p]) == wildcards.raw]


def raw_files_of(session):
    """What the tables of a session's files are called, as far as those could be read."""
    return sorted({raw_name(CONTENTS[path]) for path in session.exports} - {""})


def of_raw_files(pattern):
    """Input function: `pattern` for every raw file of a session that could be read."""
    return lambda wildcards: expand(
        pattern,
        session=wildcards.session,
        raw=raw_files_of(INBOX.sessions[wildcards.session]),
    )


def of_sessions(patterns, sessions=INBOX.sessions):
    return expand(patterns, session=sessions)


def of_parts(name):
    """A file of every part of the archive."""
    return expand(f"{PART}/{name}", part=PARTS)


def in_parts(*tables):
    """The files of some of the archive's tables that are kept in parts."""
    return expand(f"{ARCHIVE}/{{table}}/{{part}}.parquet", table=tables, part=PARTS)


def of_its_sessions(pattern):
    """Input function: `pattern` for every session of a part."""
    return lambda wildcards: of_sessions(pattern, PARTS[wildcards.part])


def run_of_its_own(stated, targets=()):
    """The end of the command of a run that this one starts: its config, its targets."""
    given = {"results": RESULTS, "lock": "held"} | stated
    config = [f"{name}={value}" for name, value in given.items()]
    return shlex.join(["--config", *config, "--", *targets])


def cards_of(wildcards):
    """The session's card, or none."""
    card = INBOX.sessions[wildcards.session].card
    return [card] if card else []


def sources_of(wildcards):
    """What intake reads of a session in the inbox."""
    cards = list(map(str, cards_of(wildcards)))
    exports = {str(path): CONTENTS[path] for path in exports_of(wildcards)}
    raw = [*exports, *cards]
    return {"raw": raw, "exports": exports, "card": cards, "session": wildcards.session}


def hints_of(wildcards):
    """What the session's card says of reading this export."""
    names = [path.name for path in files_of(wildcards)]
    return canonical(hints_stated(INBOX.sessions[wildcards.session].card, names))


def bench_of(wildcards):
    """The devices under test that give a session its look."""
    return canonical(REGISTER.bench(named_by_card(wildcards.session)))


def devices_of(wildcards):
    """The part of the register a session can use: entries its card names, else all of them."""
    named = named_by_card(wildcards.session)
    part = REGISTER if named is None else REGISTER.restricted(named)
    return canonical(part.model_dump(mode="json"))


def in_force(wildcards):
    """Code and settings of every stage that published figures come from."""
    return canonical(
        {
            stage: {
                "code": code_of(f"{STAGES}.{stage}"),
                "settings": {
                    name: section.model_dump(mode="json")
                    for name, section in SETTINGS.only(sections_read(stage)).items()
                },
            }
            for stage in ALL_STAGES
        }
    )
