"""How well a limit of agreement is known whose variance is a sum of components.

The method of variance estimates recovery (MOVER) puts the interval of a sum together from the
intervals of its terms. Zou 2013, Stat Methods Med Res 22:630-642 (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strapline.method.agreement.interval import chi2_quantile, normal_quantile
from strapline.method.agreement.pairs import NORMAL_975


@dataclass(frozen=True)
class Component:
    """A component of a variance, above 0, and its degrees of freedom, above 0."""

    value: float
    freedom: float


def limit_margins(
    components: Sequence[Component], bias_variance: float, level: float
) -> tuple[float, float]:
    """How far the true limit may lie inside and outside of bias ± 1.96 root of the sum.

    Each component has its chi-squared interval, the bias a normal one.
    """
    tail = (1 - level) / 2
    variance = sum(each.value for each in components)
    below = math.hypot(*(each.value * (1 - _ratio(each, 1 - tail)) for each in components))
    above = math.hypot(*(each.value * (_ratio(each, tail) - 1) for each in components))
    sd = math.sqrt(variance)
    narrower = sd - math.sqrt(max(variance - below, 0.0))
    wider = math.sqrt(variance + above) - sd
    of_bias = normal_quantile(level) * math.sqrt(bias_variance)
    return math.hypot(of_bias, NORMAL_975 * narrower), math.hypot(of_bias, NORMAL_975 * wider)


def _ratio(component: Component, probability: float) -> float:
    return component.freedom / chi2_quantile(probability, component.freedom)
