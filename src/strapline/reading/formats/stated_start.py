"""The start that a file states apart from its rows: above a table, or beside the lists of JSON."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import DateOrder, FileClock
from strapline.reading.formats.columns import moments
from strapline.reading.formats.export import Export, UndecidedExport
from strapline.reading.formats.heading import Meaning
from strapline.reading.formats.heading_row import DELIMITERS
from strapline.reading.formats.heading_words import Unit, unit_of, words_of
from strapline.reading.formats.headings import Headings
from strapline.reading.formats.moments import read_moments
from strapline.reading.formats.number_times import DAY_S, LATEST_START_S, times_of_numbers
from strapline.reading.formats.numbers import is_number, number
from strapline.reading.formats.table_times import length_in

Fact = tuple[str, str]

_FACT = re.compile(
    r"[\s#/*%'\"-]*(?P<name>[^\W\d][^:;,=\t\"]{0,60}?)[\"\s]*(?:[:;,=\t]|\s(?=\d))(?P<value>.{1,80})"
)
_CLOCK = re.compile(r"(?i)\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?(\s?[ap]m)?", re.ASCII)
# A reading of the same clock, to the minute, with some time to press start.
_NEAR_S = 120


@dataclass(frozen=True)
class Start:
    """Milliseconds since 1970, by `clock`; `is_date` where it is a day alone."""

    ms: float
    clock: FileClock
    is_date: bool = False


def facts_in(lines: Sequence[str]) -> Iterator[Fact]:
    """Names and values: one of each a line, or a line of names above a line of values."""
    for line in lines:
        if match := _FACT.fullmatch(line.strip().rstrip(";,\t")):
            yield match["name"], match["value"].strip(" \t;,:=\"'")
    for above, below in pairwise(lines):
        for delimiter in DELIMITERS:
            names, values = above.split(delimiter), below.split(delimiter)
            if len(names) == len(values) > 1:
                yield from zip(names, (value.strip(' "') for value in values), strict=True)


def start_in(facts: Iterable[Fact], words: Headings, dates: DateOrder | None) -> Start | None:
    """The start that they state, if any: a moment, or a time of day beside a date, or a date.

    Raises UndecidedExport where its day and month cannot be told apart.
    """
    known = list(facts)
    starts = [value for name, value in known if words.is_start(name)]
    days = [value for name, value in known if words.meaning_of(name) == Meaning.DATE]
    clocks = [value for value in starts if _CLOCK.fullmatch(value)]
    found, undecided = [], None
    for text in (*starts, *(f"{day} {clock}" for day in days for clock in clocks), *days):
        try:
            found.append(_moment(text, dates))
        except UndecidedExport as open_date:
            undecided = open_date if ":" in text else undecided
    best = min((start for start in found if start), key=lambda s: s.is_date, default=None)
    if undecided is not None and (best is None or best.is_date):
        raise undecided
    return best


def length_stated(facts: Iterable[Fact], words: Headings) -> float | None:
    """How many seconds the recording lasts, if they state it."""
    found = (length_in(value) for name, value in facts if words.meaning_of(name) == Meaning.ELAPSED)
    return next((length_s for length_s in found if length_s), None)


def unit_stated(facts: Iterable[Fact], words: Headings) -> Unit | None:
    """The unit of heart rates, if they state it: 'HR unit: Hz', 'Einheit: S/min'."""
    units = (
        unit_of(value)
        for name, value in facts
        if any(words.meaning_of(word) == Meaning.UNIT for word in words_of(name))
    )
    rates = (unit for unit in units if unit and unit.measures in ("rate", "something else"))
    return next(rates, None)


def _moment(text: str, dates: DateOrder | None) -> Start | None:
    if is_number(text) and len(text) > 8:
        since_1970 = times_of_numbers(np.array([number(text)]), None).ms
        return None if since_1970 is None else Start(float(since_1970[0]), FileClock.UTC)
    read = read_moments([text], dates)
    if np.isnan(read.ms[0]):
        return None
    return Start(float(read.ms[0]), read.clock, is_date=":" not in text)


def begun(
    export: Export, facts: Iterable[Fact], words: Headings, dates: DateOrder | None
) -> Export:
    """An export of time elapsed, or of times of day, with the moments that a start among the facts
    makes of them; any other as it is.

    Raises UndecidedExport where the start's day and month cannot be told apart.
    """
    start = start_in(facts, words, dates) if export.clock == FileClock.ELAPSED else None
    if start is not None and start.is_date and export.utc_offset_s == 0:
        start = replace(start, clock=FileClock.UTC)  # the times of day say so
    first_s = 0.0 if start is None else _first_s(export)
    from_ms = None if start is None else _from_ms(start, first_s, export.times_of_day)
    if start is None or from_ms is None:
        return export
    began = pd.Timestamp(round(from_ms + first_s * 1000), unit="ms")
    zone = " UTC" if start.clock == FileClock.UTC else ""
    said = f"The file states its start, {began:%Y-%m-%d %H:%M:%S}{zone}; its times go on from it."
    return replace(
        export,
        clock=start.clock,
        samples=_with_times(export.samples, from_ms),
        beats=_with_times(export.beats, from_ms),
        times_of_day=False,
        remarks=(*export.remarks, said),
    )


def _from_ms(start: Start, first_s: float, are_of_day: bool) -> float | None:
    """The moment at which times elapsed are 0, the first being `first_s`, or None."""
    midnight_ms = start.ms - start.ms % (DAY_S * 1000)
    of_day_s = (start.ms - midnight_ms) / 1000
    if are_of_day and (start.is_date or abs(first_s - of_day_s) <= _NEAR_S):
        return midnight_ms
    if start.is_date:
        return None
    # A device's own count since it was switched on, or a clock whose hours were lost.
    is_of_hour = first_s > _NEAR_S and abs(first_s - of_day_s % 3600) <= _NEAR_S
    if first_s > LATEST_START_S or is_of_hour:
        return start.ms - first_s * 1000
    return start.ms


def _first_s(export: Export) -> float:
    """The first of the times elapsed; where there are only RR intervals, the start of the first."""
    if len(export.samples):
        return float(export.samples["elapsed_s"].min())
    return float((export.beats["elapsed_s"] - export.beats["rr_ms"] / 1000).min())


def _with_times(frame: pd.DataFrame, from_ms: float) -> pd.DataFrame:
    ms = from_ms + frame["elapsed_s"].to_numpy(dtype=float) * 1000
    return frame.assign(time=moments(ms), elapsed_s=np.nan)
