"""Which line of a text is the row of headings, and which of its columns are times."""

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain

from strapline.reading.formats import sentences
from strapline.reading.formats.heading import RATES, TIMES, Heading, Meaning, in_its_unit
from strapline.reading.formats.heading_words import unit_of
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.numbers import is_number
from strapline.reading.formats.table import Cells, cell
from strapline.reading.formats.times_by_value import (
    CLOCKS,
    MOMENTS,
    Kind,
    are_moments,
    time_among,
    times_in,
)

DELIMITERS = (",", ";", "\t", "|")
# Runs of spaces: of two and more, where headings or times have some inside, or of any length.
SPACES = {"  ": re.compile(r"\s{2,}"), " ": re.compile(r"\s+")}
# A date has many more digits than letters.
_FEWEST_DIGITS_OF_DATES = 6
_LONGEST_HEADINGS, _MOST_COLUMNS = 20_000, 500


def split(lines: Iterable[str], delimiter: str) -> Iterator[list[str]]:
    """The cells of each line. Raises csv.Error for one without end."""
    if delimiter in SPACES:
        return (SPACES[delimiter].split(line.strip()) for line in lines)
    return csv.reader(lines, delimiter=delimiter)


@dataclass(frozen=True)
class HeadingRow:
    """The cells of a line of a text, and what those mean that mean anything, by their place; and
    what there is to say of them."""

    text: Sequence[str]
    line: int
    delimiter: str
    cells: list[str]
    found: dict[int, Heading]
    said: str | None = None

    @property
    def meanings(self) -> set[Meaning]:
        return {heading.meaning for heading in self.found.values()}

    @cached_property
    def below(self) -> list[list[str]]:
        """The cells of the lines below it, up to one that cannot be read."""
        rows = []
        with suppress(csv.Error):
            for cells in split(self.text[self.line + 1 :], self.delimiter):
                rows.append(cells)
        return rows

    def columns_below(self, places: Iterable[int]) -> dict[int, Cells]:
        """The cells below some of its own, by their place; None where one is missing."""
        below = self.below
        return {
            place: [cell(cells[place]) if place < len(cells) else None for cells in below]
            for place in places
        }

    @property
    def fits(self) -> bool:
        """Whether the next line has as many cells, with a number among them: a sentence has words
        too."""
        below = next(filter(any, self.below), [])
        return len(below) == len(self.cells) and any(map(is_number, below))

    def with_units(self) -> "HeadingRow":
        """The row with the units of the line below it, if that is a line of units."""
        below = next(iter(self.below), [])
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

    def places_of(self, wanted: set[Meaning]) -> list[int]:
        return [place for place, heading in self.found.items() if heading.meaning in wanted]

    @property
    def are_words(self) -> bool:
        stated = [text for text in self.cells if text]
        return len(stated) > 1 and all(map(_is_word, stated))


def _is_word(text: str) -> bool:
    """No number and no date; signs such as # or % may head a column."""
    letters, digits = (sum(map(kind, text)) for kind in (str.isalpha, str.isdigit))
    return not is_number(text) and (digits < _FEWEST_DIGITS_OF_DATES or digits <= 2 * letters)


def heading_row(preamble: list[str], words: Headings) -> HeadingRow | None:
    """The row of headings among the first lines of a text, with what its values tell of times: the
    first with a heart rate and a time, else with RR intervals, which are a clock of their own, else
    with a heart rate beside a column of times."""
    untimed = []
    for row in possible_headings(preamble, words):
        if row.are_words and row.meanings & RATES:
            if row.meanings & TIMES:
                return _with_moments(row).with_units()
            untimed.append(row)
    alone = (row for row in untimed if Meaning.RR in row.meanings)
    by_value = (_with_unknown(row, MOMENTS, CLOCKS) for row in untimed)
    found = next(chain(alone, filter(None, by_value)), None)
    return found.with_units() if found else None


def possible_headings(preamble: list[str], words: Headings) -> Iterator[HeadingRow]:
    for number, line in enumerate(preamble):
        for delimiter in [one for one in DELIMITERS if one in line] or SPACES:
            if delimiter in line.strip():
                row = next(iter(split([line[:_LONGEST_HEADINGS]], delimiter)))
                cells = [text.strip() for text in row[:_MOST_COLUMNS]]
                found = HeadingRow(preamble, number, delimiter, cells, words.read_all(cells))
                if delimiter not in SPACES or found.fits:
                    yield found


def _with_moments(row: HeadingRow) -> HeadingRow:
    """A row of headings, one of them a time's. Where its times are no moments that go on from row
    to row, with whichever column holds such; where they cannot be read, with a clock's."""
    below = row.columns_below(row.places_of(TIMES))
    times = times_in([(row.found[place], cells) for place, cells in below.items()])
    if are_moments(times):
        return row
    kinds = (MOMENTS,) if times else (MOMENTS, CLOCKS)
    return _with_unknown(row, *kinds) or row


def _with_unknown(row: HeadingRow, *kinds: Kind) -> HeadingRow | None:
    """The row with a column whose heading says nothing and whose values are times of a kind."""
    unknown = [place for place in range(len(row.cells)) if place not in row.found]
    told = time_among(row.columns_below(unknown), *kinds)
    if told is None:
        return None
    place, why = told
    said = (
        f"No heading says which column is the time; the {sentences.placed(place)} is taken, for "
        f"{why}."
    )
    return replace(row, found={**row.found, place: Heading(Meaning.TIME)}, said=said)
