"""Medians, and whether one is 0, whatever the distribution of values."""

from __future__ import annotations

import math

import numpy as np
from scipy import special

from strapline.method.agreement.interval import LEVEL, UNKNOWN, Interval


def median_interval(ordered: np.ndarray, level: float = LEVEL) -> Interval:
    """Of the median of values in rising order, at least of that level.

    From order statistics (Thompson 1936, Ann Math Stat 7:122-128, from memory). Fewer than six
    values allow none at 95 %: NaN.
    """
    at_most = special.bdtr(np.arange(ordered.size + 1), ordered.size, 0.5)
    below = int(np.searchsorted(at_most, (1 - level) / 2))
    if below < 1:
        return UNKNOWN
    return Interval(float(ordered[below - 1]), float(ordered[-below]))


def sign_p(values: np.ndarray) -> float:
    """Of a median of 0, two-sided (the sign test; Arbuthnot 1710, Phil Trans 27:186-190).

    A value of 0 counts against either side, so that p is below 1 - level just where the interval
    of that level leaves out 0. NaN without a value.
    """
    n = values.size
    if not n:
        return math.nan
    most = max(np.count_nonzero(values > 0), np.count_nonzero(values < 0))
    return min(2 * float(special.bdtr(n - most, n, 0.5)), 1.0)
