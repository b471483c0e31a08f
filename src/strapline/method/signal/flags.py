"""Which samples and RR intervals are used, and why the others are not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.recordings import is_far_off
from strapline.ground.vocabulary import Flag
from strapline.method.signal.rr_artefacts import NORMAL, classify_rr

if TYPE_CHECKING:
    from strapline.ground.settings import Plausibility, RrIntervals

MEDIAN_OF = 11


def flag_samples(samples: pd.DataFrame, plausibility: Plausibility) -> pd.Series:
    """For each row (columns time, heart_rate_bpm): 'kept', or the first reason against it.

    no_time, far_off_time (more than 48 h from the median time: a broken clock), no_value,
    zero (devices write 0 for 'no heart rate'), implausible, repeated_time (the first sample
    of that time that has a value is kept).
    """
    time, rate = samples["time"], samples["heart_rate_bpm"]
    reasons = {
        Flag.NO_TIME: time.isna(),
        Flag.FAR_OFF_TIME: is_far_off(time),
        Flag.NO_VALUE: rate.isna(),
        Flag.ZERO: (rate == 0) & (plausibility.lowest_bpm > 0),
        Flag.IMPLAUSIBLE: ~rate.between(plausibility.lowest_bpm, plausibility.highest_bpm),
    }
    flags = pd.Series(
        np.select(list(reasons.values()), list(reasons), default=Flag.KEPT),
        index=samples.index,
        dtype=object,
    )
    kept = flags == Flag.KEPT
    repeated = time[kept].duplicated(keep="first")
    flags.loc[repeated[repeated].index] = Flag.REPEATED_TIME
    return flags


def flag_beats(
    rr_ms: np.ndarray, plausibility: Plausibility, rr_intervals: RrIntervals
) -> np.ndarray:
    """For each RR interval (ms, in order): 'kept', or the first reason against it.

    implausible: its rate is outside the plausible heart rates; sudden_change: it is far from its
    neighbours; or the kind of artefact that `rr_artefacts.classify_rr` says. That one follows the
    variability around and finds early beats; strong sinus arrhythmia blunts it, and there the
    neighbours find beats read as two (tests/benchmarks/reference_check.py).
    """
    rr = np.asarray(rr_ms, dtype=float)
    lowest, highest = max(plausibility.lowest_bpm, 1e-9), plausibility.highest_bpm
    plausible = (rr >= 60_000 / highest) & (rr <= 60_000 / lowest)
    sudden = far_from_neighbours(np.where(plausible, rr, np.nan), rr_intervals.largest_change)
    kinds = classify_rr(rr)
    reasons = {Flag.IMPLAUSIBLE: ~plausible, Flag.SUDDEN_CHANGE: sudden, Flag.KEPT: kinds == NORMAL}
    return np.select(list(reasons.values()), list(reasons), default=kinds).astype(object)


def far_from_neighbours(rr_ms: np.ndarray, largest_change: float) -> np.ndarray:
    """Whether each RR interval differs from the median of the 11 around it by more than a share.

    A median of neighbours, unlike the interval before, is not itself spoilt by the artefact
    (common practice, no source). NaN is no neighbour, and far from none.
    """
    around = pd.Series(rr_ms).rolling(MEDIAN_OF, center=True, min_periods=1)
    median = around.median().to_numpy()
    return np.asarray(np.abs(rr_ms - median) > largest_change * median)
