"""How well a limit of agreement is known whose variance is a sum of components.

The method of variance estimates recovery (MOVER) puts the interval of a sum together from the
intervals of its terms, also where terms err together. Zou 2013, Stat Methods Med Res 22:630-642;
Zou & Donner 2008, Stat Med 27:1693-1702 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strapline.method.agreement.interval import LEVEL, chi2_quantile, t_quantile
from strapline.method.agreement.pairs import NORMAL_975


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
