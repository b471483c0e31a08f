"""The cells of a delimited text table, by what their headings mean."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field

from strapline.formats import headings, sentences
from strapline.formats.export import UnreadableExport
from strapline.formats.numbers import is_number

_DELIMITERS = (",", ";", "\t")
_LONGEST_PREAMBLE = 60
_LONGEST_HEADINGS = 20_000
_MOST_SHOWN = 160
_TIMES = {headings.MOMENT, headings.DATE, headings.ELAPSED, headings.ELAPSED_MS}
_RATES = {headings.HEART_RATE, headings.RR}
_MISSING = {"", "-", "--", "nan", "na", "n/a", "null", "none"}


@dataclass
class Table:
    """The cells of each meaning, row by row; missing ones are None.

    long_rows
        Rows with more cells than there are headings.
    is_broken
        Whether the table cannot be read to its end.
    """

    cells: dict[str, list[str | None]]
    long_rows: int = 0
    is_broken: bool = False


@dataclass(frozen=True)
class _HeadingRow:
    line: int
    delimiter: str
    cells: list[str] = field(compare=False)

    @property
    def places(self) -> dict[str, int]:
        return headings.places(self.cells)


def read_table(text: str) -> Table:
    """The table in `text`, below whatever stands before its heading row.

    Raises UnreadableExport where no row is a heading row with a time and a heart rate (or RR
    intervals).
    """
    heading = _heading_row(text)
    table = Table({meaning: [] for meaning in heading.places})
    columns = [(table.cells[meaning], place) for meaning, place in heading.places.items()]
    for row in _rows_below(text, heading, table):
        if not any(cell.strip() for cell in row):
            continue
        table.long_rows += any(cell.strip() for cell in row[len(heading.cells) :])
        for cells, place in columns:
            cells.append(_cell(row[place]) if place < len(row) else None)
    return table


def _rows_below(text: str, heading: _HeadingRow, table: Table) -> Iterator[list[str]]:
    lines = io.StringIO(text, newline="")
    for _ in range(heading.line + 1):
        next(lines)
    try:
        yield from csv.reader(lines, delimiter=heading.delimiter)
    except csv.Error:  # a cell without end
        table.is_broken = True


def _heading_row(text: str) -> _HeadingRow:
    seen = list(_possible_headings(text))
    for row in seen:
        if row.places.keys() & _RATES and row.places.keys() & _TIMES:
            return row
    raise UnreadableExport(_what_is_missing(seen))


def _possible_headings(text: str) -> Iterator[_HeadingRow]:
    for number, line in zip(range(_LONGEST_PREAMBLE), io.StringIO(text, newline=""), strict=False):
        for delimiter in _DELIMITERS:
            if delimiter in line:
                row = next(csv.reader([line[:_LONGEST_HEADINGS]], delimiter=delimiter))
                yield _HeadingRow(number, delimiter, [cell.strip() for cell in row])


def _what_is_missing(seen: list[_HeadingRow]) -> str:
    if not seen:
        return sentences.NO_FORMAT
    best = max(seen, key=_likeness)
    shown = ", ".join(cell for cell in best.cells if cell)
    if len(shown) > _MOST_SHOWN:
        shown = f"{shown[:_MOST_SHOWN]}…"
    if not best.places and not all(_is_word(cell) for cell in best.cells if cell):
        return sentences.NO_FORMAT
    lacking = "time" if best.places.keys() & _RATES else "heart rate"
    return (
        f"The table has no {lacking} column Strapline knows; its headings are: {shown}. "
        "Rename the heading of that column, or export the session again."
    )


def _likeness(row: _HeadingRow) -> tuple[int, bool, int, int]:
    """How much a row looks like headings: known words first, then words at all, then early."""
    words = all(_is_word(cell) for cell in row.cells if cell)
    return len(row.places), words, len(row.cells) if words else 0, -row.line


def _is_word(cell: str) -> bool:
    return not is_number(cell) and any(letter.isalpha() for letter in cell)


def _cell(text: str) -> str | None:
    text = text.strip()
    return None if text.casefold() in _MISSING else text
