"""Intervals of the limits of agreement over sessions, sessions counting alike.

Sessions differ in how much a device errs, and one that fails moves bias and spread at once. So
each end is the wider of two. The one takes sessions' biases as normal (chi-squared, Zou 2013) and
the mean of the variances within from how these vary over sessions. The other takes nothing as
normal: a session's share in the variance is its squared distance from the bias plus its variance
within, and their mean errs together with the bias as the sessions show. The second alone is too
narrow where sessions differ in bias alone, the first where some fail.

The method of variance estimates recovery (MOVER) puts the interval of a sum together from the
intervals of its terms, also where terms err together. Zou 2013, Stat Methods Med Res 22:630-642;
Zou & Donner 2008, Stat Med 27:1693-1702 (both from memory).

`python -m benchmarks.archive_claims`, run in `tests/`, prints how often they hold the truth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import LEVEL, Interval, chi2_quantile, t_quantile
from strapline.method.agreement.pairs import NORMAL_975
from strapline.method.agreement.repeated_measures import (
    Limits,
    SubjectSummaries,
    limits_of_repeated,
)

# With fewer sessions the intervals hold the truth too rarely, and none is told.
FEWEST_SESSIONS = 5


@dataclass(frozen=True)
class KnownLimits:
    """Limits, and the interval of each."""

    limits: Limits
    lower: Interval
    upper: Interval


def known_limits(differences: SubjectSummaries) -> KnownLimits:
    """Of two sessions or more, else ValueError."""
    if differences.subjects < 2:
        raise ValueError("one session says nothing of others")
    limits = limits_of_repeated(differences)
    down, up = (_margins(differences, limits, side) for side in (-1, 1))
    return KnownLimits(
        limits,
        Interval(limits.lower - down.outward, limits.lower + down.inward),
        Interval(limits.upper - up.inward, limits.upper + up.outward),
    )


def _margins(differences: SubjectSummaries, limits: Limits, side: int) -> Margins:
    """side: -1 of the lower limit, 1 of the upper."""
    n = differences.subjects
    of_bias = t_quantile(n - 1) * math.sqrt(limits.between / n)
    within = differences.variance * (1 - 1 / differences.count)
    apart = differences.mean - limits.bias
    shares = apart**2 * n / (n - 1) + within
    normal = limit_margins(
        [
            Component.chi_squared(limits.between, n - 1),
            Component.of_mean(limits.within, _error(within), n - 1),
        ],
        of_bias,
    )
    shown = limit_margins(
        [Component.of_mean(limits.between + limits.within, _error(shares), n - 1)],
        of_bias,
        side * _correlation(apart, shares),
    )
    return Margins(max(normal.inward, shown.inward), max(normal.outward, shown.outward))


def _error(values: np.ndarray) -> float:
    """Of their mean."""
    return float(np.std(values, ddof=1)) / math.sqrt(values.size)


def _correlation(one: np.ndarray, other: np.ndarray) -> float:
    """0 where either does not vary."""
    a, b = one - np.mean(one), other - np.mean(other)
    scale = math.sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / scale if scale > 0 else 0.0


@dataclass(frozen=True)
class Component:
    """A component of a variance, and how far below and above it the true one may lie."""

    value: float
    below: float
    above: float

    @classmethod
    def chi_squared(cls, value: float, freedom: float) -> Component:
        """Of normal values. One without a degree of freedom adds nothing that is known."""
        if not freedom > 0:
            return cls(value, 0.0, 0.0)
        tail = (1 - LEVEL) / 2
        low, high = (freedom / chi2_quantile(share, freedom) for share in (1 - tail, tail))
        return cls(value, value * (1 - low), value * (high - 1))

    @classmethod
    def of_mean(cls, value: float, error: float, freedom: float) -> Component:
        """Of a mean of sizes with its standard error, by t on the logarithm."""
        if value <= 0:
            return cls(value, 0.0, 0.0)
        ratio = math.exp(t_quantile(freedom) * error / value)
        return cls(value, value * (1 - 1 / ratio), value * (ratio - 1))


@dataclass(frozen=True)
class Margins:
    """How far the true limit may lie inside (towards the bias) and outside of the estimate."""

    inward: float
    outward: float


def limit_margins(
    components: Sequence[Component], of_bias: float, together: float = 0.0
) -> Margins:
    """Of bias ± 1.96 root of the sum. of_bias: half the length of the interval of the bias;
    together: the correlation of what the bias errs outward with what the sum errs upward."""
    variance = sum(each.value for each in components)
    sd = math.sqrt(variance)
    below = math.hypot(*(each.below for each in components))
    above = math.hypot(*(each.above for each in components))
    narrower = NORMAL_975 * (sd - math.sqrt(max(variance - below, 0.0)))
    wider = NORMAL_975 * (math.sqrt(variance + above) - sd)
    return Margins(_sum(of_bias, narrower, together), _sum(of_bias, wider, together))


def _sum(one: float, other: float, together: float) -> float:
    return math.sqrt(max(one**2 + other**2 + 2 * together * one * other, 0.0))
