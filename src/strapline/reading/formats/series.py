"""Columns of one length by name, such as JSON holds: which are the times and the heart rates."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from strapline.reading.formats.columns import reals
from strapline.reading.formats.heading import RATES, TIMES, Heading, Meaning
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.judged import FASTEST_BPM, SLOWEST_BPM
from strapline.reading.formats.numbers import measured
from strapline.reading.formats.table import Cells, Column, Table, cell
from strapline.reading.formats.times_by_value import CLOCKS, MOMENTS, NUMBERS, time_among
from strapline.reading.formats.unread import unread

_LOOKED_AT = 200
_LONGEST_CELL = 100
_MOST_QUANTITIES, _MOST_OF_HEARTS = 50, 4


@dataclass(frozen=True)
class Series:
    """Columns of one length by name, and the keys that lead to them."""

    columns: dict[str, list[Any]]
    keys: tuple[str, ...] = ()


@dataclass(frozen=True)
class Candidate:
    """A table and what it is worth: 3 if told by words, 2 in part, 1 by values; and its size; and
    the keys that lead to it."""

    table: Table
    worth: tuple[int, int]
    keys: tuple[str, ...] = ()


def table_of(series: Series, headings: Headings) -> Candidate | None:
    """The series as a table with times and heart rates or RR intervals; None if it is none.

    Columns are told by their names; one without a telling name by the key that leads to it,
    where that speaks of heart rates; or else by its values, which is remarked.
    """
    names = list(series.columns)
    beside = {names[place]: heading for place, heading in headings.beside_in(names).items()}
    known = {names[place]: heading for place, heading in headings.read_all(names).items()}
    told = {heading.meaning for heading in known.values()}
    left = len(_unread(series, names, {*beside, *known}, headings)) if told & RATES else 0
    if told & TIMES and told & RATES:
        return _candidate(series, beside | known, 3, left)
    time = next((n for n, heading in known.items() if heading.meaning in TIMES), None)
    if time is None:
        values = {n: _cells(series, n, _LOOKED_AT) for n in names if n not in known}
        time, _ = time_among(values, MOMENTS, CLOCKS, NUMBERS) or (None, "")
    if time is None:
        return None
    if told & RATES:
        named = {**beside, **known, time: Heading(Meaning.TIME)}
        return _candidate(series, named, 2, left - (time not in known))
    topic = headings.topic(series.keys)
    of_topic = headings.read(topic)
    rates = [n for n in names if n not in known and n != time and _has_rates(series, n)]
    if len(rates) != 1:
        return None
    if of_topic is not None and of_topic.meaning in RATES:
        known = {time: Heading(Meaning.TIME), **known, rates[0]: of_topic}
        return _candidate(series, known, 2)
    if len(names) > 2 or any(map(headings.is_of_something_else, (*rates, topic))):
        return None
    return _guess(series, time, rates[0])


def _guess(series: Series, time: str, rate: str) -> Candidate | None:
    typical = np.nanmedian(reals([measured(cell) for cell in _cells(series, rate)]))
    if not SLOWEST_BPM <= typical <= FASTEST_BPM:
        return None
    known = {time: Heading(Meaning.TIME), rate: Heading(Meaning.HEART_RATE)}
    found = _candidate(series, known, 1)
    if found is not None:
        found.table.remarks.append(
            "Only from their values, two lists of the JSON are taken for time and bpm."
        )
    return found


def _unread(
    series: Series, names: list[str], known: Collection[str], headings: Headings
) -> list[str]:
    places = [place for place, name in enumerate(names) if name in known]
    values = {n: _cells(series, name, _LOOKED_AT) for n, name in enumerate(names)}
    return unread(names, values, places, headings)


def _candidate(
    series: Series, known: dict[str, Heading], worth: int, left: int = 0
) -> Candidate | None:
    columns = [Column(name, heading, _cells(series, name)) for name, heading in known.items()]
    sizes = [column.count for column in columns if column.heading.meaning in RATES]
    table = Table(columns, unread=max(left, 0))
    return Candidate(table, (worth, max(sizes)), series.keys) if max(sizes) else None


def _has_rates(series: Series, name: str) -> bool:
    cells = _cells(series, name, _LOOKED_AT)
    numbers = sum(not np.isnan(measured(cell)) for cell in cells)
    return numbers > sum(cell is not None for cell in cells) / 2


def _cells(series: Series, name: str, most: int | None = None) -> Cells:
    return [_cell(value) for value in series.columns[name][:most]]


def _cell(value: Any) -> str | None:
    if isinstance(value, str):
        return cell(value[:_LONGEST_CELL])
    return cell(repr(value)) if isinstance(value, float) else None


def of_one_quantity(series: Series, words: Headings) -> Iterator[Series]:
    """Of rows that each have a word for their quantity, {"type": "hr", "value": 120}, those of each
    quantity that is a heart's, the value called as the row calls it."""
    columns = series.columns
    for name, cells in columns.items():
        spoken = sorted({cell for cell in cells if isinstance(cell, str)})
        if len(spoken) > _MOST_QUANTITIES:
            continue
        told = [word for word in spoken if words.meaning_of(word) in RATES]
        for word in told[:_MOST_OF_HEARTS]:
            rows = [row for row, cell in enumerate(cells) if cell == word]
            own = {n: [column[row] for row in rows] for n, column in columns.items() if n != name}
            values = [n for n in own if not words.topic([n]) and _has_numbers(own[n])]
            if len(values) == 1:
                named = {word if n == values[0] else n: column for n, column in own.items()}
                yield Series(named, series.keys)


def _has_numbers(cells: Sequence[Any]) -> bool:
    return any(
        isinstance(cell, float) or (isinstance(cell, str) and measured(cell) == measured(cell))
        for cell in cells[:_LOOKED_AT]
    )
