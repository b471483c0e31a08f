"""Times that are written as numbers: since 1970, since 1900, or since a start."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from strapline.ground.vocabulary import FileClock
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.time_choice import Times

DAY_S = 86_400
# By the serial numbers of spreadsheets: 1970, 2000 and 2100.
_DAYS_TO_1970, _FIRST_DAY, _LAST_DAY = 25_569, 36_526, 73_051
# Nobody's recording starts an hour into itself; a clock on the wall does.
LATEST_START_S = 3600
_FEWEST_STEPS = 8
# Of dates, in seconds since 1970: 1973, before which a count is a device's own, 2000 and 2100.
_FIRST_EPOCH_S, _YEAR_2000_S, _LAST_EPOCH_S = 1e8, 946_684_800, 4_102_444_800
_UNITS_OF_DATES_S = (1.0, 1e-3, 1e-6, 1e-9)
# Tenths of a microsecond since 1601 and since year 1, as some systems count, to 1970.
_TICK_S, _YEARS_TO_1970_S = 1e-7, (11_644_473_600.0, 62_135_596_800.0)
# Heart rates come less often than 20 times a second.
_SHORTEST_STEP_S = 0.05
_LARGEST_ERROR = 0.1
_LONGER_UNITS_S = (60.0, 3600.0, 86_400.0)
UNITS = {
    86_400.0: "days", 3600.0: "hours", 60.0: "minutes", 1.0: "seconds", 0.1: "tenths of a second",
    0.01: "hundredths of a second", 1e-3: "milliseconds", 1e-6: "microseconds",
    1e-9: "nanoseconds",
}  # fmt: skip


def times_of_numbers(values: Reals, unit_s: float | None) -> Times:
    """Numbers in `unit_s` seconds, or in whatever unit their size and steps tell."""
    typical = float(np.nanmedian(values)) if np.isfinite(values).any() else 0.0
    for worth in _UNITS_OF_DATES_S if unit_s is None else (unit_s,):
        if _are_dates(values, typical, worth, unit_s is not None):
            return Times(FileClock.UTC, ms=_finite(values * worth * 1000))
    for before_s in _YEARS_TO_1970_S if unit_s is None else ():
        if _YEAR_2000_S <= typical * _TICK_S - before_s < _LAST_EPOCH_S:
            said = "The times are tenths of a microsecond since year 1 or 1601."
            ms = _finite((values * _TICK_S - before_s) * 1000)
            return Times(FileClock.UTC, ms=ms, said=(said,))
    if unit_s is None and _are_days(values):
        ms = (values - _DAYS_TO_1970) * DAY_S * 1000
        said = "The times are days since 1900, as spreadsheets count them."
        return Times(FileClock.LOCAL, ms=_finite(ms), said=(said,))
    worth = _unit_by_steps(values) if unit_s is None else unit_s
    told = []
    if unit_s is None and worth != 1:
        told.append(
            f"The times have no unit; by the steps between the rows they count {UNITS[worth]}."
        )
    elapsed_s = _finite(values * worth)
    if np.isfinite(elapsed_s).any() and np.nanmin(elapsed_s) > LATEST_START_S:
        told.append(
            f"The times count from {np.nanmin(elapsed_s):,.0f} s on, as from when a device was "
            "switched on; only the time between them is used."
        )
    return Times(
        FileClock.ELAPSED,
        elapsed_s=elapsed_s,
        said=tuple(told),
        unit_s=worth if unit_s is None else None,
    )


def filling(times: Times, length_s: float | None, why: str) -> Times:
    """Times elapsed without a unit in the unit in which they last `length_s`; as they are where
    they do, or where no unit makes them."""
    if times.elapsed_s is None or times.unit_s is None or not length_s:
        return times
    span_s = float(np.nanmax(times.elapsed_s) - np.nanmin(times.elapsed_s))
    worth = unit_filling(span_s, length_s, times.unit_s, _LARGEST_ERROR)
    if worth is None:
        return times
    said = f"The times have no unit; {why} they count {UNITS[worth]}."
    kept = (text for text in times.said if not text.startswith("The times have no unit"))
    elapsed_s = times.elapsed_s * (worth / times.unit_s)
    return replace(times, elapsed_s=elapsed_s, said=(*kept, said), unit_s=None)


def unit_filling(span_s: float, length_s: float, unit_s: float, error: float) -> float | None:
    """The unit in which times that last `span_s` in units of `unit_s` seconds last `length_s`,
    wrong by a factor of 1 + `error` at most; None if they do already, or in none."""
    ratios = {unit_s: 1.0} | {worth: worth / unit_s for worth in UNITS if worth != unit_s}
    found = (w for w, r in ratios.items() if abs(np.log(span_s * r / length_s)) <= np.log1p(error))
    best = next(found, None) if span_s > 0 else None
    return None if best == unit_s else best


def _are_dates(values: Reals, typical: float, worth: float, is_stated: bool) -> bool:
    if not _FIRST_EPOCH_S <= typical * worth < _LAST_EPOCH_S:
        return False
    # Milliseconds since a device was switched on look like seconds since 1970, far apart.
    return is_stated or typical * worth >= _YEAR_2000_S or _unit_by_steps(values) == 1


def _are_days(values: Reals) -> bool:
    """Whether numbers are days of our time, with rows some seconds apart: as seconds, they would be
    less than a millisecond apart."""
    known = values[np.isfinite(values)]
    steps = np.abs(np.diff(known))
    steps = steps[steps > 0]
    if steps.size < _FEWEST_STEPS or not _FIRST_DAY <= np.median(known) <= _LAST_DAY:
        return False
    return bool(0.05 / DAY_S <= np.median(steps) <= 3600 / DAY_S)


def _unit_by_steps(values: Reals) -> float:
    """What a number counts whose unit nobody states: rows a quarter of an hour apart or more, or
    hundreds of seconds that are no minutes, count milliseconds or less, and rows closer than heart
    rates come count minutes or more."""
    steps = np.abs(np.diff(values[np.isfinite(values)]))
    steps = steps[steps > 0]
    if steps.size < _FEWEST_STEPS:
        return 1.0
    step = float(np.median(steps))
    if step < _SHORTEST_STEP_S:
        slower = (worth for worth in _LONGER_UNITS_S if step * worth >= 4 * _SHORTEST_STEP_S)
        return next(slower, 1.0)
    places = 0
    while step >= 3600 or (step >= 100 and step % 60):
        step, places = step / 1000, places + 3
    return float(f"1e-{places}")


def _finite(values: Reals) -> Reals:
    return np.where(np.isfinite(values), values, np.nan)
