"""Tables as text: CSV with commas, semicolons or tabs, and a row of headings."""

import csv
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import chain, islice
from typing import BinaryIO

import numpy as np

from strapline.reading.formats import columns
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Hints, UnreadableExport, refuse_beyond
from strapline.reading.formats.heading import TIMES, Heading, Meaning
from strapline.reading.formats.heading_row import HeadingRow, heading_row, possible_headings, split
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.no_table import what_is_missing
from strapline.reading.formats.numbers import is_number, number
from strapline.reading.formats.rr_columns import FEWEST
from strapline.reading.formats.series import Series, of_one_quantity, table_of
from strapline.reading.formats.stated_start import begun, facts_in, length_stated, unit_stated
from strapline.reading.formats.table import Column, Table, cell
from strapline.reading.formats.table_export import export_of
from strapline.reading.formats.text_encoding import encoding_of, lines
from strapline.reading.formats.time_choice import course
from strapline.reading.formats.unread import LONGEST_PREAMBLE, in_row
from strapline.reading.formats.xml_elements import seek_markup

_BARE = (
    "Its two columns have no headings; by their steps and sums they are taken for times and RR "
    "intervals."
)
_LARGEST_ERROR = 0.05


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
    preamble = list(islice(rest, LONGEST_PREAMBLE))
    row = heading_row(preamble, words)
    if row is None:
        rows = list(possible_headings(preamble, words))
        timed = [r for r in rows if r.are_words and r.meanings & TIMES and len(set(r.cells)) > 2]
        texts = chain(preamble, rest)
        export = _by_quantity(timed[:3], texts, words, hints) if timed else _bare_columns(texts)
        if export is None:
            raise UnreadableExport(what_is_missing(rows, preamble, words))
        facts = list(facts_in([line for line in preamble if line.startswith("#")]))
    else:
        facts = list(facts_in(preamble[: row.line]))
        table = _table(row, words, chain(preamble[row.line + 1 :], rest))
        table.remarks += [row.said] if row.said else []
        table.unread = len(in_row(row, words))
        table.length_s, table.unit = length_stated(facts, words), unit_stated(facts, words)
        export = export_of(table, "csv", hints)
    return begun(export, facts, words, hints.dates)


def _by_quantity(
    rows: Iterable[HeadingRow], texts: Iterable[str], words: Headings, hints: Hints
) -> Export | None:
    """The rows of a heart's quantity, where each row has a word for its own, or None."""
    whole: list[str] = []
    for count, text in enumerate(texts):
        refuse_beyond(count)
        whole.append(text)
    for row in rows:
        below = [cells for cells in replace(row, text=whole).below if len(cells) == len(row.cells)]
        columns = zip(*below, strict=True) if below else ()
        series = Series(dict(zip(row.cells, map(list, columns), strict=False)))
        for own in of_one_quantity(series, words):
            if (found := table_of(own, words)) is not None:
                return export_of(found.table, "csv", hints)
    return None


def _table(row: HeadingRow, words: Headings, texts: Iterable[str]) -> Table:
    found = words.beside_in(row.cells) | row.found
    table = Table([Column(row.cells[place], heading) for place, heading in found.items()])
    places = list(zip(found, (column.cells for column in table.columns), strict=True))
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
        yield from split(texts, delimiter)
    except csv.Error:  # a cell without end
        table.is_broken = True


def _bare_columns(lines: Iterable[str]) -> Export | None:
    """The RR intervals of lines with a time and an interval each, without headings, if their sums
    say so; or None."""
    first: list[str | None] = []
    second: list[str | None] = []
    for line in lines:
        if not line.strip() or line.startswith("#"):
            continue
        texts = _texts(line)
        if texts is None:
            return None
        first.append(texts[0])
        second.append(texts[1])
        refuse_beyond(len(first))
    ends, rr = (columns.reals([number(text) for text in texts]) for texts in (first, second))
    if len(first) < FEWEST or course(ends) != "each later" or not _adds_up(ends, rr):
        return None
    table = Table(
        [Column("", Heading(Meaning.TIME), first), Column("", Heading(Meaning.RR), second)],
        remarks=[_BARE],
    )
    return export_of(table, "csv", Hints())


def _texts(line: str) -> list[str] | None:
    for delimiter in (";", "\t", None, ","):
        texts = [text.strip() for text in line.strip().split(delimiter)]
        if len(texts) == 2 and all(map(is_number, texts)):
            return texts
    return None


def _adds_up(ends: Reals, rr: Reals) -> bool:
    """Whether the intervals fill the time between the rows, in some unit of either."""
    steps = np.diff(ends)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = float(np.median(rr[1:] / steps))
    return any(abs(ratio * worth - 1) <= _LARGEST_ERROR for worth in (1.0, 1e-3, 1e3))
