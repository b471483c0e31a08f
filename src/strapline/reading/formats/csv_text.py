"""Tables as text: CSV with commas, semicolons or tabs, and a row of headings."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain, islice

from strapline.ground.vocabulary import DateOrder
from strapline.reading.formats import headings as meanings
from strapline.reading.formats import sentences
from strapline.reading.formats.bare_columns import read_bare_columns
from strapline.reading.formats.export import Export, Hints, UnreadableExport
from strapline.reading.formats.heading_row import DELIMITERS, RATES, TIMES, HeadingRow
from strapline.reading.formats.headings import Heading, Headings
from strapline.reading.formats.limits import refuse_beyond
from strapline.reading.formats.no_table import what_is_missing
from strapline.reading.formats.table import Column, Table, cell, export_of
from strapline.reading.formats.table_times import read_times
from strapline.reading.formats.time_choice import course

_LONGEST_PREAMBLE = 60
_LONGEST_HEADINGS = 20_000
_MOST_COLUMNS = 500


def read_csv(lines: Iterable[str], headings: Headings, hints: Hints) -> Export:
    """Every row below the headings, whatever stands before them.

    A time that no heading tells is told by its values, and so are two columns without headings if
    they are times and RR intervals. Raises UnreadableExport where no row is a heading row with a
    heart rate (or RR intervals), or no time can be read.
    """
    lines = iter(lines)
    preamble = list(islice(lines, _LONGEST_PREAMBLE))
    rows = list(_possible_headings(preamble, headings))
    row = _with_times(rows) or _with_beats_alone(rows) or _with_times_by_value(rows, preamble)
    if row is None:
        export = read_bare_columns(chain(preamble, lines))
        if export is None:
            raise UnreadableExport(what_is_missing(rows, preamble))
        return export
    table = _table(row, chain(preamble[row.line + 1 :], lines))
    table.remarks += [row.said] if row.said else []
    return export_of(table, "csv", hints)


def _with_times(rows: list[HeadingRow]) -> HeadingRow | None:
    return next((row for row in rows if row.meanings & RATES and row.meanings & TIMES), None)


def _with_beats_alone(rows: list[HeadingRow]) -> HeadingRow | None:
    """RR intervals are a clock of their own."""
    return next((row for row in rows if row.are_words and meanings.RR in row.meanings), None)


def _with_times_by_value(rows: list[HeadingRow], preamble: list[str]) -> HeadingRow | None:
    """The first row of headings that has a heart rate, with whichever column holds moments."""
    for row in rows:
        if not (row.are_words and row.meanings & RATES):
            continue
        below = list(csv.reader(preamble[row.line + 1 :], delimiter=row.delimiter))
        for place in range(len(row.cells)):
            cells = [cell(cells[place]) for cells in below if place < len(cells)]
            if place not in row.found and _are_moments(cells):
                said = (
                    f"No heading says which column is the time; the {sentences.placed(place)} is "
                    "taken, for its values are moments that rise."
                )
                return replace(row, found={**row.found, place: Heading(meanings.TIME)}, said=said)
    return None


def _are_moments(cells: list[str | None]) -> bool:
    try:
        times = read_times([(Heading(meanings.TIME), cells)], DateOrder.DAY_FIRST)
    except UnreadableExport:
        return False
    return times.ms is not None and course(times.seconds) in ("each later", "later")


def _table(row: HeadingRow, lines: Iterable[str]) -> Table:
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


def _possible_headings(preamble: list[str], headings: Headings) -> Iterator[HeadingRow]:
    for number, line in enumerate(preamble):
        for delimiter in DELIMITERS:
            if delimiter in line:
                row = next(csv.reader([line[:_LONGEST_HEADINGS]], delimiter=delimiter))
                cells = [text.strip() for text in row[:_MOST_COLUMNS]]
                yield HeadingRow(number, delimiter, cells, headings.read_all(cells))
