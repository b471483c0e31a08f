"""Readings of a clock on the wall in UTC, also over the night in which summer time ends."""

import datetime as dt

import numpy as np
import pandas as pd

# A clock that is set back an hour shows less than before, however long the rows are apart; times
# that are out of order are seldom so far from their place.
_SMALLEST_STEP_BACK = pd.Timedelta(minutes=5)
_AN_HOUR = pd.Timedelta(hours=1)


def wall_in_utc(wall: pd.Series, zone: str) -> pd.Series:
    """Readings in file order (whatever zone they carry is a stand-in) as UTC.

    Of an hour that occurs twice, the readings before a step back are the first and those after it
    the second; where none is, all are whichever goes on with the times before and after, and the
    first where that decides nothing. One that does not occur is moved to the next that does.
    """
    first, second = _as(wall, zone, True), _as(wall, zone, False)
    is_twice = (first != second) & first.notna()
    if not is_twice.any():
        return first
    back = _set_back(wall)
    if back is not None:
        return first.where(~(is_twice & back), second)
    later = first.where(~is_twice, second)
    return later if _longest_step(later) < _longest_step(first) else first


def unfolded(wall: pd.Series) -> pd.Series:
    """The readings as of a clock that was not set back."""
    back = _set_back(wall)
    return wall if back is None else wall.where(~back, wall + _AN_HOUR)


def _as(wall: pd.Series, zone: str, is_first: bool) -> pd.Series:
    twice = np.full(len(wall), is_first)
    bare = wall.dt.tz_localize(None)
    placed: pd.Series = bare.dt.tz_localize(zone, ambiguous=twice, nonexistent="shift_forward")
    return placed.astype("datetime64[ms, UTC]")


def _set_back(wall: pd.Series) -> pd.Series | None:
    """Which readings come after the one step back of at most an hour; None where there is none, or
    several."""
    known = wall.dropna()
    is_reversed = bool((known.diff() < pd.Timedelta(0)).mean() > 0.5)
    steps = known[::-1].diff() if is_reversed else known.diff()
    back = steps[(steps <= -_SMALLEST_STEP_BACK) & (steps >= -_AN_HOUR)]
    if len(back) != 1 or (steps < -_AN_HOUR).any():
        return None
    place = int(np.flatnonzero(wall.index == back.index[0])[0])
    order = np.arange(len(wall))
    return pd.Series(order <= place if is_reversed else order >= place, wall.index)


def _longest_step(times: pd.Series) -> dt.timedelta:
    longest: dt.timedelta = times.dropna().sort_values().diff().max()
    return longest
