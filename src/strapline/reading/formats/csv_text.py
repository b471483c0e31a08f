"""Tables as text: CSV with commas, semicolons or tabs, and a row of headings."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain, islice
from typing import BinaryIO

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
from strapline.reading.formats.text_encoding import encoding_of, lines
from strapline.reading.formats.time_choice import GOING_ON, course
from strapline.reading.formats.xml_elements import seek_markup

_LONGEST_PREAMBLE = 60
_LONGEST_HEADINGS = 20_000
_MOST_COLUMNS = 500


def recognises(file: BinaryIO, _words: Headings) -> bool:
    """All other text, for it is said what a table lacks; markup lacks all of it."""
    return encoding_of(file) is not None and not seek_markup(file)


def read(file: BinaryIO, words: Headings, hints: Hints) -> Export:
    """Every row below the headings, whatever stands before them.

    A time that no heading tells is told by its values, and so are two columns without headings if
    they are times and RR intervals. Raises UnreadableExport where no row is a heading row with a
    heart rate (or RR intervals), or no time can be read.
    """
    rest = lines(file)
    preamble = list(islice(rest, _LONGEST_PREAMBLE))
    possible = _possible_headings(preamble, words)
    row = _with_times((row for row in possible if row.are_words), preamble)
    if row is None:
        rows = list(_possible_headings(preamble, words))
        row = _with_beats_alone(rows) or _with_times_by_value(rows, preamble)
    if row is None:
        export = read_bare_columns(chain(preamble, rest))
        if export is None:
            raise UnreadableExport(what_is_missing(rows, preamble))
        return export
    table = _table(row, chain(preamble[row.line + 1 :], rest))
    table.remarks += [row.said] if row.said else []
    return export_of(table, "csv", hints)


def _with_times(rows: Iterable[HeadingRow], preamble: list[str]) -> HeadingRow | None:
    """The first row that has a heart rate and a time; where its times are no moments that go on
    from row to row, with whichever column holds such."""
    row = next((row for row in rows if row.meanings & RATES and row.meanings & TIMES), None)
    if row is None or _are_moments_of(row, _cells_below(row, preamble, row.places_of(TIMES))):
        return row
    return _with_moments(row, preamble) or row


def _are_moments_of(row: HeadingRow, columns: dict[int, list[str | None]]) -> bool:
    return _are_moments([(row.found[place], cells) for place, cells in columns.items()])


def _cells_below(
    row: HeadingRow, preamble: list[str], places: Iterable[int]
) -> dict[int, list[str | None]]:
    below = row.below(preamble)
    return {
        place: [cell(cells[place]) if place < len(cells) else None for cells in below]
        for place in places
    }


def _with_beats_alone(rows: list[HeadingRow]) -> HeadingRow | None:
    """RR intervals are a clock of their own."""
    return next((row for row in rows if row.are_words and meanings.RR in row.meanings), None)


def _with_times_by_value(rows: list[HeadingRow], preamble: list[str]) -> HeadingRow | None:
    """The first row of headings that has a heart rate, with whichever column holds moments."""
    for row in rows:
        if row.are_words and row.meanings & RATES and (found := _with_moments(row, preamble)):
            return found
    return None


def _with_moments(row: HeadingRow, preamble: list[str]) -> HeadingRow | None:
    """The row with the first column whose heading says nothing and whose values are moments."""
    unknown = [place for place in range(len(row.cells)) if place not in row.found]
    for place, cells in _cells_below(row, preamble, unknown).items():
        if _are_moments([(Heading(meanings.TIME), cells)]):
            said = (
                f"No heading says which column is the time; the {sentences.placed(place)} is "
                "taken, for its values are moments that rise."
            )
            return replace(row, found={**row.found, place: Heading(meanings.TIME)}, said=said)
    return None


def _are_moments(columns: list[tuple[Heading, list[str | None]]]) -> bool:
    try:
        times = read_times(columns, DateOrder.DAY_FIRST)
    except UnreadableExport:
        return False
    return times.ms is not None and course(times.seconds) in GOING_ON


def _table(row: HeadingRow, texts: Iterable[str]) -> Table:
    table = Table([Column(row.cells[place], heading) for place, heading in row.found.items()])
    places = list(zip(row.found, (column.cells for column in table.columns), strict=True))
    width = len(row.cells)
    for count, cells in enumerate(_rows(texts, row.delimiter, table)):
        refuse_beyond(count)
        if not any(map(str.strip, cells)):
            continue
        table.long_rows += any(map(str.strip, cells[width:]))
        for place, column in places:
            column.append(cell(cells[place]) if place < len(cells) else None)
    return table


def _rows(texts: Iterable[str], delimiter: str, table: Table) -> Iterator[list[str]]:
    try:
        yield from csv.reader(texts, delimiter=delimiter)
    except csv.Error:  # a cell without end
        table.is_broken = True


def _possible_headings(preamble: list[str], words: Headings) -> Iterator[HeadingRow]:
    for number, line in enumerate(preamble):
        for delimiter in DELIMITERS:
            if delimiter in line:
                row = next(csv.reader([line[:_LONGEST_HEADINGS]], delimiter=delimiter))
                cells = [text.strip() for text in row[:_MOST_COLUMNS]]
                yield HeadingRow(number, delimiter, cells, words.read_all(cells))
