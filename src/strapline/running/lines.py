"""Lines for the end of a run: a heading and its entries each, so many and so wide as one reads."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

MOST_LINES, WIDEST = 25, 100
IN_FULL = "strapline status"

# In backticks, or at the end of a line.
COMMAND = re.compile(r"`[^`]*`|(?:(?<=: )|^)(?:strapline|snakemake) .*$")
# A space at which nothing is wrapped, and which no text holds: it cannot be printed.
KEPT = "\N{NO-BREAK SPACE}"


@dataclass
class Block:
    """`entries`: each with its further lines; `shown`: how many of them, `least`: of which so many
    are never left out; `entries` are in order of use, and the last are left out first."""

    heading: str
    entries: Sequence[Sequence[str]] = ()
    least: int = 1
    shown: int = field(init=False)

    def __post_init__(self) -> None:
        self.shown = len(self.entries)

    def lines(self, in_full: str = IN_FULL) -> list[str]:
        """`in_full`: the command that says what is left out."""
        said = wrapped(self.heading, 0) if self.heading else []
        for entry in self.entries[: self.shown]:
            for number, line in enumerate(entry):
                said += wrapped(line, 4 if number else 2)
        left = len(self.entries) - self.shown
        return [*said, f"  … and {left} more; in full: {in_full}"] if left else said


def fitted(blocks: Sequence[Block], in_full: str, most: int = MOST_LINES) -> list[str]:
    """The lines of all blocks, at most so many: the longest block gives way first, and each keeps
    the least it may."""
    while sum(len(block.lines()) for block in blocks) > most:
        yielding = [block for block in blocks if block.shown > block.least]
        if not yielding:
            break
        longest = max(yielding, key=lambda block: len(block.lines()))
        # The line that says how many are left takes the place of one.
        longest.shown -= 1
    return [line for block in blocks for line in block.lines(in_full)]


def whole(blocks: Sequence[Block]) -> list[str]:
    return [line for block in blocks for line in block.lines()]


def say(sentences: Iterable[str], indent: int = 0) -> None:
    """Print each, as wide as one reads."""
    for sentence in sentences:
        print("\n".join(wrapped(sentence, indent)))


def wrapped(line: str, indent: int) -> list[str]:
    """A command, which is to be copied, or a path is never cut in two: it is rather wider."""
    found = textwrap.wrap(
        COMMAND.sub(lambda command: command[0].replace(" ", KEPT), printable(line)),
        WIDEST,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [each.replace(KEPT, " ") for each in found]


def printable(line: str) -> str:
    """With '?' for what cannot be printed."""
    return "".join(c if c.isprintable() else "?" for c in line)
