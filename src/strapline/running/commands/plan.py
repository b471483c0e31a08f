"""Say what to record next, and what each further session will tell you.

With --full it says what each device still needs at each activity, and in which order to record it.
The report's page *Plan* says both.
"""

import argparse

from strapline.ground.words import in_words
from strapline.method.planning import wording
from strapline.method.planning.outlook import Outlook
from strapline.running.commands import bench
from strapline.running.lines import say

# Lists of more have no reader.
MOST_SHOWN = 8


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--full", action="store_true", help="each device at each activity")
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    ahead, labels = own.outlook(), own.labels
    if options.full or not ahead.outings:
        say([wording.next_sentence(ahead, labels)])
    if options.full:
        _full(ahead, labels)
    elif ahead.outings:
        _in_short(ahead, labels)
    return 0


def _in_short(ahead: Outlook, labels: dict[str, str]) -> None:
    say([wording.soon(ahead, labels)])
    steps = [
        f"{place}. {wording.step(step, ahead, labels)}" for place, step in enumerate(ahead.steps, 1)
    ]
    say(steps[:MOST_SHOWN], indent=2)
    if len(steps) > MOST_SHOWN:
        print(f"  … and {len(steps) - MOST_SHOWN} more; in full: strapline plan --full")
    print()
    say(wording.apart(ahead, labels))
    say(wording.out_of_reach(ahead, labels))
    print("To prepare the next session: strapline new")
    print("Each device at each activity, and the order: strapline plan --full")


def _full(ahead: Outlook, labels: dict[str, str]) -> None:
    print()
    _table(
        ("Activity", "Device", "Sessions", "Left", "Right", "Now", "One more", "Still needs"),
        [
            (
                in_words(cell.activity),
                wording.name_of(cell.device, labels),
                str(cell.sessions),
                "–" if cell.left is None else str(cell.left),
                "–" if cell.right is None else str(cell.right),
                wording.half_width(cell.half_width),
                wording.half_width(cell.half_width_with(1)),
                wording.state(cell),
            )
            for cell in ahead.cells
        ],
    )
    print()
    say(list(wording.remarks(ahead, labels)))
    print()
    _table(
        ("", "Activity", "Left wrist", "Right wrist", "Elsewhere", "Wearer"),
        [
            (
                str(number),
                in_words(outing.activity),
                wording.name_of(outing.left, labels),
                wording.name_of(outing.right, labels),
                wording.elsewhere(outing, labels),
                outing.wearer or "–",
            )
            for number, outing in enumerate(ahead.outings, 1)
        ],
    )


def _table(heading: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    widths = [max(map(len, column)) for column in zip(heading, *rows, strict=True)]
    for row in (heading, *rows):
        cells = (text.ljust(width) for text, width in zip(row, widths, strict=True))
        print("  ".join(cells).rstrip())
