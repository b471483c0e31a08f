"""One grid, one second apart, for every recording of a session."""

import numpy as np
import pandas as pd


def epoch_seconds(time: pd.Series) -> np.ndarray:
    """Seconds since 1970 (UTC) of times without a missing one."""
    milliseconds = np.asarray(time.dt.as_unit("ms").astype("int64"))
    return milliseconds / 1000


def times_of(seconds: np.ndarray) -> pd.DatetimeIndex:
    """The reverse of `epoch_seconds`, to the millisecond."""
    return pd.to_datetime(np.round(seconds * 1000), unit="ms", utc=True)


def seconds_spanned(time_s: np.ndarray) -> np.ndarray:
    """The whole seconds from the first time to the last; empty where there is no time."""
    if time_s.size == 0:
        return np.array([])
    return np.arange(np.ceil(time_s[0]), np.floor(time_s[-1]) + 1)


def values_at(
    seconds: np.ndarray, time_s: np.ndarray, value: np.ndarray, longest_gap_s: float
) -> np.ndarray:
    """`value` at each of `seconds`, linear between samples at most `longest_gap_s` apart.

    NaN before the first sample, after the last, and inside longer gaps. `time_s` must ascend
    strictly; a second that falls on a sample has exactly that sample's value.
    """
    if time_s.size == 0:
        return np.full(seconds.shape, np.nan)
    after = np.clip(np.searchsorted(time_s, seconds, side="left"), 0, time_s.size - 1)
    before = np.clip(np.searchsorted(time_s, seconds, side="right") - 1, 0, time_s.size - 1)
    near = time_s[after] - time_s[before] <= longest_gap_s
    inside = (seconds >= time_s[0]) & (seconds <= time_s[-1])
    return np.where(inside & near, np.interp(seconds, time_s, value), np.nan)


def changes_over(values: np.ndarray, steps: int) -> np.ndarray:
    """Change over so many steps around each value, shape (…, n); NaN where one end is missing."""
    changes = np.full(values.shape, np.nan)
    before, length = steps // 2, values.shape[-1]
    if length > steps:
        inside = slice(before, length - steps + before)
        changes[..., inside] = values[..., steps:] - values[..., :-steps]
    return changes
