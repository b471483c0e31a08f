"""Say how things are now: what `snakemake` would compute, what was computed last, what is open.

What it would compute follows from the inbox and from your settings, devices and wearers. Unlike the
closing lines it leaves out nothing that was told before.
"""

import argparse
from collections.abc import Iterator

from strapline.ground.documents import DocumentError
from strapline.running.closing import blocks_of, report, standing_now, without_verdicts
from strapline.running.commands import bench
from strapline.running.commands.bench import Bench
from strapline.running.first_day import first_things
from strapline.running.lines import Block, whole
from strapline.running.missing import must_be_there
from strapline.running.news import entries_of, news
from strapline.running.pending import Pending
from strapline.running.taken import Taken, take
from strapline.running.told import Told, told_before


def describe(parser: argparse.ArgumentParser) -> None:
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    told = told_before(own.results)
    if told is None:
        raise DocumentError(f"No run has ended yet in {own.results}. Type `snakemake` first.")
    must_be_there(own.places)
    taken = take(own.places, own.settings, lambda inbox, known, closed: None)
    print("\n".join(whole([*state(own, told, taken), *report(own.results)])))
    return 0


def state(own: Bench, told: Told, taken: Taken) -> Iterator[Block]:
    """How things are, of what was `told` and what is in the inbox now."""
    pending = Pending(own.own, taken, told)
    to_compute = list(pending.sessions())
    if not (to_compute or told.sessions):
        yield first_things(pending.own)
    if to_compute:
        heading = "New, or changed in the inbox or in config; to compute it, type `snakemake`:"
        yield Block(heading, [[name] for name in to_compute])
    yield from (Block(line) for line in pending.recomputed().splitlines())
    last = [name for name in told.changed if name not in {*to_compute, *taken.no_more}]
    of_last = news(pending.own, last, (), None)
    if of_last:
        heading = "In the last run that changed a session:"
        yield Block(heading, entries_of(of_last))
    yield from blocks_of(without_verdicts(standing_now(own.results, taken), of_last))
