"""Tables as text: CSV with commas, semicolons or tabs, and a row of headings."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, islice

from strapline.reading.formats import headings as meanings
from strapline.reading.formats import sentences
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.headings import Heading, Headings
from strapline.reading.formats.limits import refuse_beyond
from strapline.reading.formats.numbers import is_number
from strapline.reading.formats.table import Column, Table, cell, export_of

_DELIMITERS = (",", ";", "\t")
_LONGEST_PREAMBLE = 60
_LONGEST_HEADINGS = 20_000
_MOST_COLUMNS = 500
_TIMES = {meanings.TIME, meanings.DATE, meanings.ELAPSED}
_RATES = {meanings.HEART_RATE, meanings.RR}


@dataclass(frozen=True)
class _HeadingRow:
    line: int
    delimiter: str
    cells: list[str]
    found: dict[int, Heading]

    @property
    def meanings(self) -> set[str]:
        return {heading.meaning for heading in self.found.values()}


def read_csv(lines: Iterable[str], headings: Headings, hints: Hints) -> Export:
    """Every row below the headings, whatever stands before them.

    Raises UnreadableExport where no row is a heading row with a time and a heart rate (or RR
    intervals), or no time can be read.
    """
    lines = iter(lines)
    preamble = list(islice(lines, _LONGEST_PREAMBLE))
    row = _heading_row(preamble, headings)
    return export_of(_table(row, chain(preamble[row.line + 1 :], lines)), "csv", hints)


def _table(row: _HeadingRow, lines: Iterable[str]) -> Table:
    table = Table([Column(row.cells[place], heading) for place, heading in row.found.items()])
    places = list(zip(row.found, (column.cells for column in table.columns), strict=True))
    width = len(row.cells)
    for count, cells in enumerate(_rows(lines, row.delimiter, table)):
        refuse_beyond(count)
        if not any(map(str.strip, cells)):
            continue
        table.long_rows += any(map(str.strip, cells[width:]))
        for place, column in places:
            column.append(cell(cells[place]) if place < len(cells) else None)
    return table


def _rows(lines: Iterable[str], delimiter: str, table: Table) -> Iterator[list[str]]:
    try:
        yield from csv.reader(lines, delimiter=delimiter)
    except csv.Error:  # a cell without end
        table.is_broken = True


def _heading_row(preamble: list[str], headings: Headings) -> _HeadingRow:
    seen = []
    for row in _possible_headings(preamble, headings):
        if row.meanings & _RATES and row.meanings & _TIMES:
            return row
        seen.append(row)
    raise UnreadableExport(_what_is_missing(seen))


def _possible_headings(preamble: list[str], headings: Headings) -> Iterator[_HeadingRow]:
    for number, line in enumerate(preamble):
        for delimiter in _DELIMITERS:
            if delimiter in line:
                row = next(csv.reader([line[:_LONGEST_HEADINGS]], delimiter=delimiter))
                cells = [text.strip() for text in row[:_MOST_COLUMNS]]
                found = {n: known for n, text in enumerate(cells) if (known := headings.read(text))}
                yield _HeadingRow(number, delimiter, cells, found)


def _what_is_missing(seen: list[_HeadingRow]) -> str:
    if not seen:
        return sentences.NO_FORMAT
    best = max(seen, key=_likeness)
    if not best.found and not all(_is_word(text) for text in best.cells if text):
        return sentences.NO_FORMAT
    lacking = "time" if best.meanings & _RATES else "heart rate"
    return (
        f"The table has no {lacking} column Strapline knows. Add that column's heading, as it "
        f"stands in line {best.line + 1} of the file, under 'headings' in config/settings.yaml, "
        "or export the session again."
    )


def _likeness(row: _HeadingRow) -> tuple[int, bool, int, int]:
    """How much a row looks like headings: known words first, then words at all, then early."""
    words = all(_is_word(text) for text in row.cells if text)
    return len(row.meanings), words, len(row.cells) if words else 0, -row.line


def _is_word(text: str) -> bool:
    return not is_number(text) and any(letter.isalpha() for letter in text)
