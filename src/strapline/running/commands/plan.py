"""Say what to record next, and what each further session will tell you.

With --full it says what each device still needs at each activity, and in which order to record it.
The report's page *Plan* says both.
"""

import argparse

from strapline.ground.words import in_words
from strapline.method.planning import wording
from strapline.method.planning.outlook import Outlook, Step
from strapline.running.commands import bench
from strapline.running.lines import wrapped

# Rankings of more have no reader.
MOST_SHOWN = 6


def describe(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--full", action="store_true", help="each device at each activity")
    bench.describe(parser)


def run(options: argparse.Namespace) -> int:
    own = bench.read(options)
    ahead, labels = own.outlook(), own.labels
    _say([wording.next_sentence(ahead, labels)])
    if options.full:
        _full(ahead, labels)
    elif ahead.outings:
        _in_short(ahead, labels)
    return 0


def _in_short(ahead: Outlook, labels: dict[str, str]) -> None:
    heading, lines = wording.soon(ahead, labels)
    _say([heading], before="\n")
    _say(_shortened(lines), indent=2)
    _say(wording.apart(ahead, labels))
    _say(["If you can record only some of these, the most useful first:"], before="\n")
    steps = [_step(each, ahead, labels, lines) for each in ahead.steps]
    _say([f"{place}. {step}" for place, step in enumerate(steps[:MOST_SHOWN], 1)], indent=2)
    print()
    _say(wording.out_of_reach(ahead, labels))
    print("To prepare the next session: strapline new")
    print("Each device at each activity, and the order: strapline plan --full")


def _step(each: Step, ahead: Outlook, labels: dict[str, str], said: list[str]) -> str:
    """A session and what it buys, unless that is `said` already of its activity."""
    session, buys = wording.worn(each.outing, labels), wording.buys(each, ahead, labels)
    is_said = f"{in_words(each.outing.activity)}: {buys}." in said
    return f"{session}." if is_said else f"{session}: {buys}."


def _shortened(lines: list[str]) -> list[str]:
    more = len(lines) - MOST_SHOWN
    return [*lines[:MOST_SHOWN], *([f"… and {more} more activities"] if more > 0 else [])]


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
    _say(list(wording.remarks(ahead, labels)))
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


def _say(sentences: list[str], indent: int = 0, before: str = "") -> None:
    for sentence in sentences:
        print(before + "\n".join(wrapped(sentence, indent)))


def _table(heading: tuple[str, ...], rows: list[tuple[str, ...]]) -> None:
    widths = [max(map(len, column)) for column in zip(heading, *rows, strict=True)]
    for row in (heading, *rows):
        cells = (text.ljust(width) for text, width in zip(row, widths, strict=True))
        print("  ".join(cells).rstrip())
