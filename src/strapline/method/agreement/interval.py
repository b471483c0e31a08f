"""An interval, and the quantiles intervals are made with."""

import math
from dataclasses import dataclass

# Not from scipy.stats, which takes a third of a second to import.
from scipy.special import gammaincinv, ndtri, stdtrit

# Of every interval that says no other.
LEVEL = 0.95
# By how many standard errors a normal value may lie off: 1.959964.
NORMAL_QUANTILE = float(ndtri((1 + LEVEL) / 2))


@dataclass(frozen=True)
class Interval:
    """Lower and upper end; both NaN where the data allow none."""

    low: float
    high: float


UNKNOWN = Interval(math.nan, math.nan)


def t_quantile(freedom: float, level: float = LEVEL) -> float:
    """Student's t for a two-sided interval; NaN without a degree of freedom."""
    return float(stdtrit(freedom, (1 + level) / 2)) if freedom > 0 else math.nan


def chi2_quantile(probability: float, freedom: float) -> float:
    """What a chi-squared variable stays below with that probability."""
    return float(2 * gammaincinv(freedom / 2, probability))


def around(centre: float, half_width: float) -> Interval:
    return Interval(centre - half_width, centre + half_width)
