"""A row of a table that may be its headings."""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from strapline.reading.formats.headings import (
    DATE,
    ELAPSED,
    HEART_RATE,
    RR,
    TIME,
    Heading,
    in_its_unit,
)
from strapline.reading.formats.numbers import is_number
from strapline.reading.formats.units import unit_of

DELIMITERS = (",", ";", "\t", "|")
# Runs of spaces: of two and more, where headings or times have some inside, or of any length.
SPACES = {"  ": re.compile(r"\s{2,}"), " ": re.compile(r"\s+")}
TIMES = {TIME, DATE, ELAPSED}
# A date has many more digits than letters.
_FEWEST_DIGITS_OF_DATES = 6
RATES = {HEART_RATE, RR}


def split(lines: Iterable[str], delimiter: str) -> Iterator[list[str]]:
    """The cells of each line. Raises csv.Error for one without end."""
    if delimiter in SPACES:
        return (SPACES[delimiter].split(line.strip()) for line in lines)
    return csv.reader(lines, delimiter=delimiter)


@dataclass(frozen=True)
class HeadingRow:
    """The cells of a line, and what those mean that mean anything, by their place; and what there
    is to say of them."""

    line: int
    delimiter: str
    cells: list[str]
    found: dict[int, Heading]
    said: str | None = None

    @property
    def meanings(self) -> set[str]:
        return {heading.meaning for heading in self.found.values()}

    def below(self, preamble: Sequence[str]) -> list[list[str]]:
        """The cells of the lines below it, up to one that cannot be read."""
        rows = []
        with suppress(csv.Error):
            for cells in split(preamble[self.line + 1 :], self.delimiter):
                rows.append(cells)
        return rows

    @property
    def is_by_spaces(self) -> bool:
        return self.delimiter in SPACES

    def fits(self, preamble: Sequence[str]) -> bool:
        """Whether the next line has as many cells, with a number among them: a sentence has words
        too."""
        below = next(filter(any, self.below(preamble)), [])
        return len(below) == len(self.cells) and any(map(is_number, below))

    def with_units(self, preamble: Sequence[str]) -> "HeadingRow":
        """The row with the units of the line below it, if that is a line of units."""
        below = next(iter(self.below(preamble)), [])
        units = {place: unit_of(text.strip(" ()[]")) for place, text in enumerate(below)}
        values = [
            text for n, text in enumerate(below) if not units[n] and any(map(str.isdigit, text))
        ]
        if values or any(map(is_number, below)) or not any(map(units.get, self.found)):
            return self
        read = {
            place: in_its_unit(heading, units.get(place)) for place, heading in self.found.items()
        }
        found = {place: heading for place, heading in read.items() if heading}
        return replace(self, line=self.line + 1, found=found)

    def places_of(self, wanted: set[str]) -> list[int]:
        return [place for place, heading in self.found.items() if heading.meaning in wanted]

    @property
    def are_words(self) -> bool:
        stated = [text for text in self.cells if text]
        return len(stated) > 1 and all(map(_is_word, stated))


def _is_word(text: str) -> bool:
    """No number and no date; signs such as # or % may head a column."""
    letters, digits = (sum(map(kind, text)) for kind in (str.isalpha, str.isdigit))
    return not is_number(text) and (digits < _FEWEST_DIGITS_OF_DATES or digits <= 2 * letters)
