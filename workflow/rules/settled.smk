# Needs: what each session's results depend on, and what the last run noted of it.
# Makes: the sessions whose jobs this run looks at; see strapline.keeping.as_made.settled.

import re
from functools import cache

from strapline.keeping.as_made.look import Look
from strapline.running.redoing import Redoing
from strapline.running.ended import (
    clear_ended_parts,
    clear_raw_files,
    clear_strangers,
    ended_raw_files,
)
from strapline.running.forgetting.made import take_pages_but
from strapline.keeping.as_made.settled import Kept, keep, kept_from, sealed, sealed_again, settled

KEPT_FILE = Path(RESULTS, "settled.json")
KEPT = kept_from(KEPT_FILE)
LOOK = Look(PLACES, KEPT.notes, METHODS, lambda name: CONTENTS.get(PLACES.path_of(name)))
REDOING = Redoing(LOOK)
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
    if session in UNREAD and session in KEPT.seals:
        return KEPT.seals[session].devices
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
SETTLED = settled(Kept() if LOOK_AT_ALL else KEPT, SOURCES, method_with, RESULTS) - ASKED_FOR
SETTLED |= UNREAD.keys()
UNSETTLED = [name for name in INBOX.sessions if name not in SETTLED]


def seal():
    """Note what is as it was made, and the sessions that are up to date."""
    REDOING.confirm(workflow.dag)
    done = {
        name: sealed(SOURCES[name], named_by_card(name), method_with, jobs, LOOK.notes)
        for name, jobs in REDOING.sessions_done(workflow.dag).items()
    }
    keep(KEPT_FILE, KEPT, sealed_again(KEPT, SOURCES, done, LOOK.notes))


def clear_ended():
    """Once nothing names it any more, for a run may make less than a session or the report."""
    done = REDOING.sessions_done(workflow.dag)
    ended = ended_raw_files(PLACES, {name: raw_files_of(INBOX.sessions[name]) for name in done})
    REDOING.moved |= clear_raw_files(PLACES, ended)
    LOOK.forget(ended)
    if REDOING.is_done(workflow.dag, "data_page"):
        REDOING.moved |= clear_ended_parts(PLACES, IN_PARTS, PARTS)
        REDOING.moved |= clear_strangers(PLACES, IN_PARTS, PARTS)
        take_pages_but(PLACES, INBOX.sessions.keys() | INBOX.expected)


if workflow.is_main_process:
    REDOING.mend_snakemake()
    atexit.register(REDOING.tell)
if workflow.is_main_process and not workflow.output_settings.dryrun:
    # At the end of every run, also of one that fails or finds nothing to do.
    atexit.register(seal)
    atexit.register(clear_ended)
    if UNSETTLED:
        POOL.start()
