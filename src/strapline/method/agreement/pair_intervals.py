"""Intervals for independent pairs: limits of agreement, ratio limits, concordance.

Made for one pair a subject or session. For the seconds of one session see
`strapline.method.agreement.bootstrap`. `reference` and `device` have shape (n,), without missing
values; what fewer than two (concordance: three) pairs do not tell is NaN.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import special

from strapline.method.agreement.interval import (
    UNKNOWN,
    Interval,
    around,
    normal_quantile,
    t_quantile,
)
from strapline.method.agreement.pairs import NORMAL_975, concordance, limits_of_agreement, pearson_r

IntervalMethod = Literal["exact", "approximate"]


@dataclass(frozen=True)
class LimitsWithIntervals:
    """Bias and limits of agreement with their intervals, in the unit of the values; for ratio
    limits all of it as ratios of device to reference."""

    n: int
    bias: float
    lower: float
    upper: float
    bias_interval: Interval
    lower_interval: Interval
    upper_interval: Interval


def limits_with_intervals(
    reference: np.ndarray,
    device: np.ndarray,
    *,
    multiple: float = NORMAL_975,
    method: IntervalMethod = "exact",
    level: float = 0.95,
) -> LimitsWithIntervals:
    """Bias ± multiple SD, and how well each is known.

    'approximate': limit ± t root(3 / n) SD, Bland & Altman 1986, Lancet 327:307-310, meant for
    a multiple near 2. 'exact': by the noncentral t distribution, Carkeet 2015, Optom Vis Sci
    92:e71-80 (from memory), each limit for itself.
    """
    limits = limits_of_agreement(reference, device)
    n, bias, sd = limits.n, limits.bias, limits.sd
    if n < 2:
        return LimitsWithIntervals(n, bias, sd, sd, UNKNOWN, UNKNOWN, UNKNOWN)
    if method == "approximate":
        margin = t_quantile(level, n - 1) * math.sqrt(3 / n)
        inside, outside = multiple - margin, multiple + margin
    else:
        tails = np.array([1 - level, 1 + level]) / 2
        inside, outside = special.nctdtrit(n - 1, multiple * math.sqrt(n), tails) / math.sqrt(n)
    return LimitsWithIntervals(
        n=n,
        bias=bias,
        lower=bias - multiple * sd,
        upper=bias + multiple * sd,
        bias_interval=around(bias, t_quantile(level, n - 1) * sd / math.sqrt(n)),
        lower_interval=Interval(bias - float(outside) * sd, bias - float(inside) * sd),
        upper_interval=Interval(bias + float(inside) * sd, bias + float(outside) * sd),
    )


def ratio_limits(
    reference: np.ndarray,
    device: np.ndarray,
    *,
    method: IntervalMethod = "exact",
    level: float = 0.95,
) -> LimitsWithIntervals:
    """Limits for the ratio device / reference, where differences grow in proportion.

    Limits of the difference of natural logarithms, turned back; the bias is the geometric mean
    ratio. Bland & Altman 1999, Stat Methods Med Res 8:135-160, section 3.1. Raises ValueError
    for values that are not above 0.
    """
    if not (np.all(reference > 0) and np.all(device > 0)):
        raise ValueError("ratio limits need values above 0")
    logs = limits_with_intervals(np.log(reference), np.log(device), method=method, level=level)
    return LimitsWithIntervals(
        logs.n,
        math.exp(logs.bias),
        math.exp(logs.lower),
        math.exp(logs.upper),
        _exponential(logs.bias_interval),
        _exponential(logs.lower_interval),
        _exponential(logs.upper_interval),
    )


@dataclass(frozen=True)
class Concordance:
    """Lin's coefficient, its interval, and its factor of bias: coefficient = r times factor."""

    n: int
    coefficient: float
    interval: Interval
    bias_correction: float


def concordance_with_interval(
    reference: np.ndarray,
    device: np.ndarray,
    *,
    effective_n: float | None = None,
    level: float = 0.95,
) -> Concordance:
    """Lin's concordance correlation with the interval on Fisher's z.

    Lin 1989, Biometrics 45:255-268, corrected 2000, 56:324-325; moments over n. `effective_n`
    takes the place of n in the standard error. NaN where a side does not vary.
    """
    n = reference.size
    r = pearson_r(reference, device) if n else math.nan
    if n < 3 or math.isnan(r) or r == 0:
        return Concordance(n, concordance(reference, device) if n else math.nan, UNKNOWN, math.nan)
    rho = concordance(reference, device)
    if abs(rho) >= 1:
        return Concordance(n, rho, Interval(rho, rho), rho / r)
    scale = np.std(reference) * np.std(device)
    shift = float((np.mean(reference) - np.mean(device)) ** 2 / scale)
    variance = (
        (1 - r**2) * rho**2 / ((1 - rho**2) * r**2)
        + 2 * rho**3 * (1 - rho) * shift / (r * (1 - rho**2) ** 2)
        - rho**4 * shift**2 / (2 * r**2 * (1 - rho**2) ** 2)
    ) / ((n if effective_n is None else effective_n) - 2)
    half = normal_quantile(level) * math.sqrt(variance) if variance >= 0 else math.nan
    centre = math.atanh(rho)
    interval = Interval(math.tanh(centre - half), math.tanh(centre + half))
    return Concordance(n, rho, interval, rho / r)


def _exponential(interval: Interval) -> Interval:
    return Interval(math.exp(interval.low), math.exp(interval.high))
