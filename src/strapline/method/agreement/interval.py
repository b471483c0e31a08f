"""An interval, and the quantiles intervals are made with."""

import math
from dataclasses import dataclass

# Not from scipy.stats, which takes a third of a second to import.
from scipy.special import gammaincinv, ndtri, stdtrit


@dataclass(frozen=True)
class Interval:
    """Lower and upper end; both NaN where the data allow none."""

    low: float
    high: float

    def covers(self, value: float) -> bool:
        return self.low <= value <= self.high


UNKNOWN = Interval(math.nan, math.nan)


def normal_quantile(level: float) -> float:
    """The z for a two-sided interval: 1.959964 for level 0.95."""
    return float(ndtri((1 + level) / 2))


def t_quantile(level: float, freedom: float) -> float:
    """Student's t for a two-sided interval; NaN without a degree of freedom."""
    return float(stdtrit(freedom, (1 + level) / 2)) if freedom > 0 else math.nan


def chi2_quantile(probability: float, freedom: float) -> float:
    """What a chi-squared variable stays below with that probability."""
    return float(2 * gammaincinv(freedom / 2, probability))


def around(centre: float, half_width: float) -> Interval:
    return Interval(centre - half_width, centre + half_width)
