"""What kind of artefact an RR interval is, after Lipponen and Tarvainen 2019.

Lipponen, J. A. and Tarvainen, M. P. (2019), A robust algorithm for heart rate variability time
series artefact correction using novel beat classification, J Med Eng Technol 43:173-181; the
formulas and constants are from memory. Its thresholds follow the variability of the 91 beats
around, so that it suits a resting heart as well as a working one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from pandas.api.typing import Rolling

NORMAL = "normal"
ECTOPIC = "ectopic"
MISSED = "missed"
EXTRA = "extra"
LONG = "long"
SHORT = "short"

THRESHOLD_OVER = 91
MEDIAN_OF = 11
SHARE_OVER_S = 15.0
ALPHA = 5.2
SLOPE, INTERCEPT = 0.13, 0.17
FARTHEST_FROM_MEDIAN = 3.0

# The publication has no lowest threshold; without one, a heart (or a clock) that hardly varies
# makes an artefact of every tick of the clock. This size is from tests/benchmarks/
# reference_check.py: few false alarms at work; 50 ms is 1 % of the 5 s that a rate is taken over.
LOWEST_THRESHOLD_MS = 50.0


@dataclass(frozen=True)
class _Series:
    """Of each interval: how far it is from the one before and from the median of the 11 around
    it, both in thresholds; that median, and its threshold, in ms."""

    change: np.ndarray
    from_median: np.ndarray
    median_ms: np.ndarray
    threshold_ms: np.ndarray


def classify_rr(rr_ms: np.ndarray, lowest_threshold_ms: float = LOWEST_THRESHOLD_MS) -> np.ndarray:
    """For each RR interval: normal, ectopic, missed, extra, long or short.

    A missed beat is one interval as long as two; an extra beat is a short interval that makes a
    usual one with the next. The interval after it, and the one that opens an ectopic pair, are
    called short.

    Parameters: rr_ms, the intervals in ms, in order, all finite, shape (n,); lowest_threshold_ms,
    below which no threshold falls (0: as published). Returns words, shape (n,), dtype object.
    """
    rr = np.asarray(rr_ms, dtype=float)
    if rr.size == 0:
        return np.array([], dtype=object)
    series = _series(rr, lowest_threshold_ms)
    ectopic = _ectopic(series.change)
    long, short = _long_and_short(series)
    following = np.append(rr[1:], np.inf)
    missed = long & (np.abs(rr / 2 - series.median_ms) < series.threshold_ms)
    extra = short & (np.abs(rr + following - series.median_ms) < series.threshold_ms)
    kinds = {ECTOPIC: ectopic, MISSED: missed, EXTRA: extra, LONG: long, SHORT: short}
    return np.select(list(kinds.values()), list(kinds), default=NORMAL).astype(object)


def artefact_share_at(seconds: np.ndarray, end_s: np.ndarray, artefact: np.ndarray) -> np.ndarray:
    """Share of artefacts among the RR intervals that end within 7.5 s of each second.

    Parameters: seconds, shape (m,); end_s, the ends of the intervals, ascending, and artefact,
    which of them are artefacts, shapes (n,). Returns shares, shape (m,); 0 where no beat is near.
    """
    total = np.concatenate([[0], np.cumsum(np.asarray(artefact, dtype=bool))])
    first = np.searchsorted(end_s, seconds - SHARE_OVER_S / 2, side="left")
    last = np.searchsorted(end_s, seconds + SHARE_OVER_S / 2, side="right")
    return np.asarray((total[last] - total[first]) / np.maximum(last - first, 1))


def _series(rr: np.ndarray, lowest_ms: float) -> _Series:
    change = np.diff(rr, prepend=rr[0])
    median = _rolling(rr, MEDIAN_OF).median().to_numpy()
    from_median = rr - median
    # A short interval cannot be as far from the median as a long one.
    from_median[from_median < 0] *= 2
    threshold = _threshold(from_median, lowest_ms)
    return _Series(
        change=_in_thresholds(change, _threshold(change, lowest_ms)),
        from_median=_in_thresholds(from_median, threshold),
        median_ms=median,
        threshold_ms=threshold,
    )


def _threshold(values: np.ndarray, lowest_ms: float) -> np.ndarray:
    """5.2 quartile deviations (half the interquartile range) of the 91 magnitudes around."""
    around = _rolling(np.abs(values), THRESHOLD_OVER)
    deviation = (around.quantile(0.75) - around.quantile(0.25)).to_numpy() / 2
    return np.maximum(ALPHA * deviation, lowest_ms)


def _rolling(values: np.ndarray, width: int) -> Rolling[pd.Series]:
    return pd.Series(values).rolling(width, center=True, min_periods=1)


def _in_thresholds(values: np.ndarray, threshold: np.ndarray) -> np.ndarray:
    """Values over thresholds; no change is none, however low the threshold."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(values == 0, 0.0, values / threshold))


def _ectopic(change: np.ndarray) -> np.ndarray:
    """A change answered by opposite changes on both sides: short-long-short or the reverse."""
    before, after = _shifted(change, -1), _shifted(change, 1)
    up = (change > 1) & (np.maximum(before, after) < -SLOPE * change - INTERCEPT)
    down = (change < -1) & (np.minimum(before, after) > -SLOPE * change + INTERCEPT)
    return np.asarray(up | down)


def _long_and_short(series: _Series) -> tuple[np.ndarray, np.ndarray]:
    """A change taken back within two intervals, or an interval far from the median."""
    change = series.change
    after, later = _shifted(change, 1), _shifted(change, 2)
    taken_back_down = (change > 1) & (np.minimum(after, later) < -1)
    taken_back_up = (change < -1) & (np.maximum(after, later) > 1)
    long = taken_back_down | (series.from_median > FARTHEST_FROM_MEDIAN)
    short = taken_back_up | (series.from_median < -FARTHEST_FROM_MEDIAN)
    return long, short


def _shifted(values: np.ndarray, by: int) -> np.ndarray:
    """The value `by` places later (earlier if negative); 0, no change, beyond the ends."""
    padded = np.pad(values, 2)
    return padded[2 + by : padded.size - 2 + by]
