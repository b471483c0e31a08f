"""How the interval of a figure is made."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.agreement.bootstrap import FEWEST_SECONDS, Drawn, Spread, draw, mean_interval
from strapline.method.agreement.interval import UNKNOWN, Interval
from strapline.method.agreement.proportional_bias import difference_on_mean
from strapline.method.agreement.resampling import generator
from strapline.method.metrics.compared import Compared, effective_n
from strapline.method.metrics.resamples import Resamples

if TYPE_CHECKING:
    from strapline.ground.records.alignment import Delay
    from strapline.ground.settings import Intervals

BOOTSTRAP = "circular block bootstrap over the session’s seconds, 95 %; it describes that session"


@dataclass(frozen=True)
class Bootstrap:
    """Resamples of a session's seconds, and the random numbers for any more."""

    random: np.random.Generator
    drawn: Drawn
    resamples: Resamples

    @cached_property
    def spread(self) -> Spread:
        compared = self.resamples.compared
        differences = compared.difference[compared.present]
        return Spread.of(differences, self.resamples.bias, self.drawn.quantile)


@dataclass(frozen=True)
class Sampled:
    """Seconds compared, taken as a sample. `name` is what the random numbers depend on, such as
    session and recording."""

    compared: Compared
    settings: Intervals
    name: str

    def long_enough(self, effective_n: float) -> bool:
        """Whether an interval may rest on it.

        The time asked for goes by the clock, not by what the device did: to leave sessions out in
        which it failed, and keep those in which it happened not to, is to keep those that mislead.
        """
        fewest = max(self.settings.shortest_s, FEWEST_SECONDS)
        return self.compared.n >= fewest and effective_n >= self.settings.fewest_independent

    @cached_property
    def bootstrap(self) -> Bootstrap | None:
        """None where too short a time was compared, or too few stretches that do not repeat each
        other."""
        compared = self.compared
        if not self.long_enough(compared.effective_n):
            return None
        random = generator(self.name)
        difference = compared.difference
        drawn = draw(random, self.settings.replicates, difference, np.abs(difference))
        return Bootstrap(random, drawn, Resamples(compared, drawn.blocks))


@dataclass(frozen=True)
class IntervalRule:
    """How an interval is made, or why there is none, in words and in deed.

    `resampled` gives the figure in each resample, where the interval is made of its spread.
    """

    words: str
    of: Callable[[float, Sampled], Interval] = lambda value, sampled: UNKNOWN
    resampled: Callable[[Resamples], np.ndarray] | None = None


def none(reason: str) -> IntervalRule:
    return IntervalRule(f"none: {reason}")


def spread_of(
    resampled: Callable[[Resamples], np.ndarray],
    made: Callable[[Spread, float, np.ndarray], Interval] = Spread.level,
) -> IntervalRule:
    """Of the spread of the figure over resamples, by a method of Spread."""

    def of(value: float, sampled: Sampled) -> Interval:
        bootstrap = sampled.bootstrap
        if bootstrap is None or math.isnan(value):
            return UNKNOWN
        with np.errstate(divide="ignore", invalid="ignore"):
            return made(bootstrap.spread, value, resampled(bootstrap.resamples))

    return IntervalRule(BOOTSTRAP, of, resampled)


def below(largest: Callable[[Compared], float], rule: IntervalRule) -> IntervalRule:
    """Of a mean that is at most the largest of its sizes. Where the upper end lies above that, a
    few seconds make all of it and the session sets no bound: it is infinite."""

    def of(value: float, sampled: Sampled) -> Interval:
        found = rule.of(value, sampled)
        has_bound = not found.high > largest(sampled.compared)
        return found if has_bound else Interval(found.low, math.inf)

    return replace(rule, of=of)


def drawn_anew(of: Callable[[float, Sampled, Bootstrap], Interval]) -> IntervalRule:
    """From resamples of its own, with the random numbers left by those before it: heart rate
    itself, and what interrupts a comparison, last longer than errors do."""

    def made(value: float, sampled: Sampled) -> Interval:
        bootstrap = sampled.bootstrap
        return UNKNOWN if bootstrap is None else of(value, sampled, bootstrap)

    return IntervalRule(BOOTSTRAP, made)


def mean_of(side: Callable[[Compared], np.ndarray]) -> IntervalRule:
    """Of the mean of one side where both are there."""

    def of(_: float, sampled: Sampled, bootstrap: Bootstrap) -> Interval:
        series = np.where(sampled.compared.present, side(sampled.compared), np.nan)
        return mean_interval(series, bootstrap.random, sampled.settings.replicates)

    return drawn_anew(of)


def _coverage(value: float, sampled: Sampled, bootstrap: Bootstrap) -> Interval:
    presence = sampled.compared.present.astype(float)
    drawn = draw(bootstrap.random, sampled.settings.replicates, presence)
    shares = drawn.means(presence)
    return Spread.of(presence, shares, drawn.quantile).percent(value, 100 * shares)


COVERAGE = drawn_anew(_coverage)


def size_quantile(share: float) -> IntervalRule:
    """Of the size of error below which a share of the differences lies."""

    def of(value: float, sampled: Sampled) -> Interval:
        bootstrap, compared = sampled.bootstrap, sampled.compared
        if bootstrap is None:
            return UNKNOWN
        size = np.abs(compared.difference)
        below = np.where(compared.present, size <= value, np.nan)
        sizes = size[compared.present]
        return bootstrap.spread.quantile_of(sizes, share, bootstrap.drawn.means(below))

    return IntervalRule(BOOTSTRAP, of)


def _slope(_: float, sampled: Sampled) -> Interval:
    """By the effective number of the residuals, which are what is independent in a line."""
    compared = sampled.compared
    mean = (compared.reference + compared.device) / 2
    line = compared.line
    effective = effective_n(compared.difference - line.intercept - line.slope * mean)
    if not sampled.long_enough(effective):
        return UNKNOWN
    return difference_on_mean(*compared.pairs, effective).slope_interval


SLOPE = IntervalRule(
    "least squares, with the effective number of independent seconds, 95 %", _slope
)


def delay(which: Callable[[Compared], Delay | None]) -> IntervalRule:
    """Of one of the delays that align told."""

    def of(_: float, sampled: Sampled) -> Interval:
        found = which(sampled.compared)
        return UNKNOWN if found is None else Interval(found.low_s, found.high_s)

    return IntervalRule("Bayesian bootstrap over minutes, 95 %", of)
