"""Say what to record next, and what each device still needs at each activity.

The report's page *Plan* says the same.
"""

import argparse

from strapline.ground.words import in_words
from strapline.method.planning import wording
from strapline.running.commands import bench

MOST_SHOWN = 12


def describe(parser: argparse.ArgumentParser) -> None:
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    ahead, labels = own.outlook(), own.labels
    settings = own.settings
    print(wording.next_sentence(ahead, labels))
    if not ahead.cells:
        return 0
    print()
    _table(
        ("Activity", "Device", "Sessions", "Left", "Right", "Now", "One more", "Still needs"),
        [
            (
                in_words(cell.activity),
                wording.name_of(cell.device, labels),
                str(cell.sessions),
                str(cell.left),
                str(cell.right),
                wording.half_width(cell.half_width),
                wording.half_width(cell.with_one_more),
                wording.state(cell),
            )
            for cell in ahead.cells
        ],
    )
    print()
    for sentence in wording.remarks(ahead, settings.plan, settings.claims, labels):
        print(sentence)
    if ahead.outings:
        print()
        _table(
            ("", "Activity", "Left wrist", "Right wrist", "Wearer"),
            [
                (
                    str(number),
                    in_words(outing.activity),
                    wording.name_of(outing.left, labels),
                    wording.name_of(outing.right, labels),
                    outing.wearer or "–",
                )
                for number, outing in enumerate(ahead.outings[:MOST_SHOWN], 1)
            ],
        )
        print(f"{wording.planned(ahead)} to come. To prepare the first, type: strapline new")
    return 0


def _table(heading: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    widths = [max(map(len, column)) for column in zip(heading, *rows, strict=True)]
    for row in (heading, *rows):
        cells = (text.ljust(width) for text, width in zip(row, widths, strict=True))
        print("  ".join(cells).rstrip())
