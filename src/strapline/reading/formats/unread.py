"""The columns that are left unread since nothing is known of their headings.

What they are called may hold a person's name: it is shown to who asks for it, and kept nowhere.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import islice
from typing import BinaryIO

from strapline.reading.formats.heading import RATES
from strapline.reading.formats.heading_row import HeadingRow, heading_row, possible_headings
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.no_table import likeness
from strapline.reading.formats.numbers import measured
from strapline.reading.formats.text_encoding import lines

LONGEST_PREAMBLE = 60


def unread(
    names: Sequence[str],
    values: Mapping[int, Sequence[str | None]],
    known: Collection[int],
    words: Headings,
) -> list[str]:
    """Of the headings `names`, those not `known`, by their place, that speak of nothing known to be
    of no use and stand above numbers that change. `values`: the first of each column, by place."""
    return [
        name
        for place, name in enumerate(names)
        if place not in known
        and any(map(str.isalpha, name))
        and not words.is_of_no_use(name)
        and _change(values[place])
    ]


def in_row(row: HeadingRow, words: Headings) -> list[str]:
    """Those of a table."""
    values = row.columns_below(range(len(row.cells)))
    return unread(row.cells, values, row.found.keys() | words.beside_in(row.cells), words)


def headings_in(file: BinaryIO, words: Headings) -> Iterator[tuple[str, str | None]]:
    """What each heading of a table as text means, None where nothing is known of it; of what is no
    table that can be read, what is likest to be its headings. Where none is a heart rate's, what is
    elsewhere of no use may be it, such as an average."""
    preamble = list(islice(lines(file), LONGEST_PREAMBLE))
    rows = (row for row in possible_headings(preamble, words) if row.are_words)
    row = heading_row(preamble, words) or max(rows, key=likeness, default=None)
    if row is None:
        return
    known = words.beside_in(row.cells) | row.found
    is_told = RATES & {one.meaning for one in row.found.values()}
    left = in_row(row, words) if is_told else row.cells
    for place, name in enumerate(row.cells):
        if place in known or name in left:
            yield name, known[place].meaning if place in known else None


def _change(cells: Sequence[str | None]) -> bool:
    return len({value for cell in cells if (value := measured(cell)) == value}) > 1
