"""Say how things are now: what `snakemake` would compute, what was computed last, what is open.

What it would compute follows from the inbox and from your settings, devices and wearers. Unlike the
closing lines it leaves out nothing that was told before.
"""

import argparse
from collections.abc import Iterator
from itertools import chain

from strapline.ground.documents import DocumentError
from strapline.running.closing import blocks_of, report, standing_now, without_verdicts
from strapline.running.commands import bench
from strapline.running.commands.bench import Bench
from strapline.running.first_day import first_things
from strapline.running.lines import Block, whole
from strapline.running.missing import must_be_there
from strapline.running.news import entries_of, news, untold
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
    computed = [name for name in untold(taken, told) if name not in to_compute]
    gone = {*to_compute, *computed, *taken.no_more}
    parts = {
        "Computed, and told by the next run that ends well:": computed,
        "In the last run that changed a session:": [n for n in told.changed if n not in gone],
    }
    found = {heading: news(pending.own, names, Told()) for heading, names in parts.items()}
    for heading, own_news in found.items():
        if own_news:
            yield Block(heading, entries_of(own_news))
    said = [*chain(*found.values())]
    yield from blocks_of(without_verdicts(standing_now(own.results, taken), said))
