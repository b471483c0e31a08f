"""Which samples and RR intervals are used, and why the others are not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from strapline.settings import Plausibility, RrIntervals

KEPT = "kept"
FARTHEST_HOURS = 48
MEDIAN_OF = 11


def flag_samples(samples: pd.DataFrame, plausibility: Plausibility) -> pd.Series:
    """For each row (columns time, heart_rate_bpm): 'kept', or the first reason against it.

    no_time, far_off_time (more than 48 h from the median time: a broken clock), no_value,
    zero (devices write 0 for 'no heart rate'), implausible, repeated_time (the first sample
    of that time that has a value is kept).
    """
    time, rate = samples["time"], samples["heart_rate_bpm"]
    reasons = {
        "no_time": time.isna(),
        "far_off_time": is_far_off(time),
        "no_value": rate.isna(),
        "zero": (rate == 0) & (plausibility.lowest_bpm > 0),
        "implausible": ~rate.between(plausibility.lowest_bpm, plausibility.highest_bpm),
    }
    flags = pd.Series(
        np.select(list(reasons.values()), list(reasons), default=KEPT),
        index=samples.index,
        dtype=object,
    )
    kept = flags == KEPT
    repeated = time[kept].duplicated(keep="first")
    flags.loc[repeated[repeated].index] = "repeated_time"
    return flags


def is_far_off(time: pd.Series) -> pd.Series:
    """Whether a time is more than 48 h from the median time: a clock that is broken there."""
    return (time - time.median()).abs() > pd.Timedelta(hours=FARTHEST_HOURS)


def flag_beats(
    rr_ms: np.ndarray, plausibility: Plausibility, rr_intervals: RrIntervals
) -> np.ndarray:
    """For each RR interval (ms, in order): 'kept', 'implausible' or 'sudden_change'.

    An interval is implausible when its rate is outside the plausible heart rates, and a sudden
    change when it differs from the median of the 11 intervals around it by more than the
    setting's share. A median of neighbours, unlike the interval before, is not itself spoilt by
    the artefact (common practice, no source).
    """
    rr = np.asarray(rr_ms, dtype=float)
    if rr.size == 0:
        return np.array([], dtype=object)
    lowest, highest = max(plausibility.lowest_bpm, 1e-9), plausibility.highest_bpm
    plausible = (rr >= 60_000 / highest) & (rr <= 60_000 / lowest)
    around = pd.Series(np.where(plausible, rr, np.nan))
    median = around.rolling(MEDIAN_OF, center=True, min_periods=1).median().to_numpy()
    sudden = np.abs(rr - median) > rr_intervals.largest_change * median
    return np.select([~plausible, sudden], ["implausible", "sudden_change"], default=KEPT).astype(
        object
    )
