"""The times of a table, in whichever way it states them."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from strapline.formats import headings, sentences
from strapline.formats.columns import Reals, reals
from strapline.formats.export import Clock, UnreadableExport
from strapline.formats.moments import read_moments
from strapline.formats.numbers import is_number, number

Cells = Sequence[str | None]

_CELLS_LOOKED_AT = 200
_CLOCK = re.compile(r"(?:(\d+):)?(\d{1,2}):(\d{2}(?:[.,]\d*)?)", re.ASCII)
_TIME_OF_DAY = re.compile(r"\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?\s*([AaPp]\.?[Mm]\.?)?", re.ASCII)
_DATE_ONLY = re.compile(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}", re.ASCII)

# Seconds since 1970 passed this in 1973, and no session lasts as long. Milliseconds,
# microseconds and nanoseconds since 1970 are each a thousand times as many.
_FIRST_EPOCH_S = 1e8
_EPOCH_UNITS_IN_MS = ((1e9, 1e-6), (1e6, 1e-3), (1e3, 1.0), (1.0, 1e3))


@dataclass(frozen=True)
class Times:
    """Milliseconds since 1970 or else seconds since the start, NaN where missing."""

    clock: Clock
    ms: Reals | None = None
    elapsed_s: Reals | None = None

    @property
    def are_all_missing(self) -> bool:
        return all(values is None or np.isnan(values).all() for values in (self.ms, self.elapsed_s))


def read_times(cells: dict[str, list[str | None]]) -> Times:
    """The best times the columns give: moments, dates with times of day, or times elapsed.

    Raises UnreadableExport where none can be read.
    """
    for times in _candidates(cells):
        if not times.are_all_missing:
            return times
    raise UnreadableExport(sentences.NO_TIMES)


def _candidates(cells: dict[str, list[str | None]]) -> Iterator[Times]:
    clock, dates = cells.get(headings.MOMENT), cells.get(headings.DATE)
    if clock and dates and _mostly(clock, lambda cell: bool(_TIME_OF_DAY.fullmatch(cell))):
        pairs = zip(dates, clock, strict=True)
        yield _moments([f"{date} {time}" if date and time else None for date, time in pairs])
    for meaning in (headings.MOMENT, headings.DATE, headings.ELAPSED, headings.ELAPSED_MS):
        if meaning in cells:
            yield _read(cells[meaning], 1e-3 if meaning == headings.ELAPSED_MS else 1.0)


def _read(cells: Cells, unit_s: float) -> Times:
    if _mostly(cells, is_number):
        return _from_numbers(reals([number(cell) for cell in cells]), unit_s)
    if _mostly(cells, lambda cell: bool(_CLOCK.fullmatch(cell))):
        return Times("elapsed", elapsed_s=reals([_clock_s(cell) for cell in cells]))
    # A day without a time says nothing of when within it.
    return _moments([None if cell and _DATE_ONLY.fullmatch(cell) else cell for cell in cells])


def _mostly(cells: Cells, is_so: Callable[[str], bool]) -> bool:
    """Whether more than half of the first cells are so: rows of units or sums may be among them."""
    known = [cell for cell in cells[:_CELLS_LOOKED_AT] if cell]
    return sum(map(is_so, known)) > len(known) / 2


def _from_numbers(values: Reals, unit_s: float) -> Times:
    typical = np.nanmedian(values) if np.isfinite(values).any() else 0.0
    for units_per_s, unit_ms in _EPOCH_UNITS_IN_MS:
        if typical >= _FIRST_EPOCH_S * units_per_s:
            return Times("utc", ms=values * unit_ms)
    return Times("elapsed", elapsed_s=values * unit_s)


def _clock_s(cell: str | None) -> float | None:
    match = _CLOCK.fullmatch(cell) if cell else None
    if match is None:
        return None
    hours, minutes, seconds = match.groups()
    return 3600 * int(hours or 0) + 60 * int(minutes) + number(seconds)


def _moments(texts: Cells) -> Times:
    moments = read_moments(texts)
    return Times(moments.clock, ms=moments.ms)
