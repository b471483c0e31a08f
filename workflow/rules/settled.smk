# Needs: what each session's results depend on, and what the last run noted of it.
# Makes: the sessions whose jobs this run looks at; see strapline.session.settled.

import re
from functools import cache

from strapline.ended_parts import clear_ended_parts
from strapline.forgetting.made import take_pages_but
from strapline.session.settled import keep_seals, kept_seals, sealed, settled

SEALS_FILE = Path(RESULTS, "settled.json")
SEALS = kept_seals(SEALS_FILE)
RULES = [path.read_text() for path in sorted(Path(workflow.basedir, "workflow", "rules").iterdir())]
SOURCES = {
    name: hashed(
        [
            session.title,
            CONTENTS.get(session.card),
            [(str(path), CONTENTS[path]) for path in session.exports],
        ]
    )
    for name, session in INBOX.sessions.items()
}


@cache
def named_by_card(session):
    """The devices that the session's card names, or None where it does not name them all."""
    if session in UNREAD and session in SEALS:
        return SEALS[session].devices
    named = devices_named(INBOX.sessions[session].card)
    return None if named is None else tuple(sorted(named))


@cache
def method_with(devices):
    """What sessions with these devices depend on besides their files."""
    part = REGISTER if devices is None else REGISTER.restricted(devices)
    return hashed([METHODS, RULES, part.model_dump(mode="json"), REGISTER.bench(devices)])


# Snakemake does not tell its rules whether jobs are forced, touched or to be listed, and which
# files are asked for by name.
OF_ALL = r"-[a-zA-Z]*[fFRtSD].*|--(force|touch|summary|detailed|dag|delete|list|report|archive).*"
LOOK_AT_ALL = any(re.fullmatch(OF_ALL, word) for word in sys.argv[1:])
ASKED_FOR = {part.split(".")[0] for word in sys.argv[1:] for part in word.split("/")}
SETTLED = settled({} if LOOK_AT_ALL else SEALS, SOURCES, method_with, RESULTS) - ASKED_FOR
SETTLED |= UNREAD.keys()
UNSETTLED = [name for name in INBOX.sessions if name not in SETTLED]


def seal():
    """Note the sessions that are up to date; a note that holds no longer settles nothing."""
    seals = {name: SEALS[name] for name in INBOX.sessions.keys() & SEALS.keys()}
    for name, jobs in jobs_by_session().items():
        made = [Path(output) for job in jobs for output in job.output]
        if all(map(is_done, jobs)) and all(path.exists() for path in made):
            files = [f for path in made for f in (files_in(path) if path.is_dir() else [path])]
            seals[name] = sealed(SOURCES[name], named_by_card(name), method_with, RESULTS, files)
    if seals != SEALS:
        keep_seals(SEALS_FILE, seals)


def jobs_by_session():
    """Of every session of which this run looks at all jobs: the last gives its page."""
    found = {}
    for job in workflow.dag.jobs if workflow.dag is not None else ():
        if "session" in job.wildcards.keys():
            found.setdefault(job.wildcards.session, []).append(job)
    return {
        name: jobs
        for name, jobs in found.items()
        if any(job.rule.name == "session_page" for job in jobs)
    }


def is_done(job):
    """Whether Snakemake and the job's receipt say so. Snakemake alone is not enough: it knows
    nothing of results that were put back from a copy, and asked at the end of a run that never
    began, it calls every job done."""
    if workflow.dag.needrun(job) and not workflow.dag.finished(job):
        return False
    receipt = read_receipt(receipt_path(PLACES, PLACES.name_of(job.output[0])))
    return (
        receipt is not None
        and receipt.method == METHODS[job.rule.name]
        and all(
            (content or "") == CONTENTS.get(PLACES.path_of(name))
            for name, content in receipt.inputs.items()
            if name.startswith("inbox/")
        )
    )


def clear_parts():
    """Once nothing names them any more, for a run may make less than the whole report."""
    for job in workflow.dag.jobs if workflow.dag is not None else ():
        if job.rule.name == "data_page" and is_done(job):
            clear_ended_parts(PLACES, IN_PARTS, PARTS)
            take_pages_but(PLACES, INBOX.sessions.keys() | INBOX.expected)


if workflow.is_main_process and not workflow.output_settings.dryrun:
    # At the end of every run, also of one that fails or finds nothing to do.
    atexit.register(seal)
    atexit.register(clear_parts)
    if UNSETTLED:
        POOL.start()
