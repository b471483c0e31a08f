"""Say how things are now: what is still to be computed, what was computed last, what is open.

Unlike the closing lines it leaves out nothing that was told before.
"""

import argparse
from collections.abc import Iterator

from strapline.ground.documents import DocumentError
from strapline.running.closing import Found, blocks_of, report, standing_now, without_verdicts
from strapline.running.commands import bench
from strapline.running.commands.bench import Bench
from strapline.running.lines import Block, whole
from strapline.running.missing import known_sessions, must_be_there
from strapline.running.news import news
from strapline.running.taken import Taken, take
from strapline.running.told import Told, told_before


def describe(parser: argparse.ArgumentParser) -> None:
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    told = told_before(own.results)
    if told is None:
        raise DocumentError([f"No run has ended yet in {own.results}. Type `snakemake` first."])
    must_be_there(own.places)
    known = known_sessions(own.results)
    taken = take(own.places, own.settings, known, lambda inbox, closed: None)
    print("\n".join(whole([*state(own, told, taken), report(own.results)])))
    return 0


def state(own: Bench, told: Told, taken: Taken) -> Iterator[Block]:
    """How things are, of what was `told` and what is in the inbox now."""
    made = own.results / "sessions"
    to_compute = [
        name
        for name in taken.inbox.sessions
        if not (made / name / "ledger.json").exists() or _has_changed(name, told, taken)
    ]
    if to_compute:
        heading = "New or changed in the inbox; to compute it, type `snakemake`:"
        yield Block(heading, [[name] for name in to_compute])
    last = [name for name in told.changed if name not in {*to_compute, *taken.no_more}]
    zone = own.settings.clock.time_zone
    of_last = news(made, last, (), None, own.register.devices, zone)
    if of_last:
        heading = "In the last run that changed a session:"
        yield Block(heading, [each.lines() for each in of_last])
    inbox = taken.inbox
    found = Found(left_alone=inbox.left_alone, waiting=inbox.waiting, no_more=taken.no_more)
    yield from blocks_of(without_verdicts(standing_now(own.results, found), of_last))


def _has_changed(session: str, told: Told, taken: Taken) -> bool:
    """Whether its card, or one of its exports, is another than the last run told of."""
    said, there = told.sessions.get(session), taken.inbox.sessions[session]
    if said is None or session in taken.unread:
        return False
    card = taken.contents[there.card] if there.card else None
    exports = {taken.contents[path] for path in there.exports}
    return card != said.card or not exports >= {*said.exports} - {""}
