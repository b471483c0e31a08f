"""95 % intervals of every figure of a session from a circular block bootstrap.

Seconds that follow one another repeat each other, so resampled blocks, not seconds, tell how
far a figure would vary. Three things make the plain bootstrap interval too narrow at the
lengths of real sessions, and each is answered:

- Blocks of the length of Politis & White 2004 minimise the error of a variance; an interval
  needs longer ones (Sun, Phillips & Jin 2008, Econometrica 76:175-194, from memory). Blocks
  here are LONGER times as long, at most a third of the series.
- Blocks cut dependence off at their edges. By the same authors' formulas the share of the
  variance lost is sqrt(2 b³ / 3 n) / length, b the length of Politis & White.
- The standard error is itself uncertain, the more so the fewer blocks there are. The quantile
  is that of Kiefer & Vogelsang 2005 (Econometric Theory 21:1130-1164, from memory) for a
  fixed share of the series in a block, times that of t with the effective n - 1 degrees of
  freedom over that of the normal distribution.

Figures that large errors make (WIDENED) hold the truth less often still with few independent
seconds, and are widened by a share of 1 / effective n that `tests/benchmarks/coverage.py` asks
for. It prints what intervals hold with first-order autoregressive errors, the family on which
the choices above were made; least of all for a share so near 100 % that a session holds hardly
one miss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, normal_quantile
from strapline.method.agreement.mean_interval import (
    FEWEST_SECONDS,
    LEVEL,
    REPLICATES,
    draw,
    effective_n_and_quantile,
    mean_interval,
)
from strapline.method.agreement.metric_replicates import metric_replicates
from strapline.method.agreement.metrics import UNITS, agreement_metrics
from strapline.method.agreement.proportions import share_of_dependent_cases
from strapline.method.agreement.resampling import generator

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

# Figures from which their bias over resamples is taken off: the SD of values that repeat one
# another is too small.
RECENTRED = frozenset({"limit_lower", "limit_upper"})
MEAN_SIZES = frozenset({"mae", "mape"})
ROOT_SIZES = frozenset({"sd_of_differences", "rmse"})
# Figures that large errors make, and by how much of an effective session they are widened.
WIDENED = RECENTRED | MEAN_SIZES | ROOT_SIZES
WIDENED_BY = 5.0
FEW_CASES = 10
CORRELATIONS = frozenset({"pearson_r", "concordance"})
SHARES = frozenset({"within_beats", "within_percent", "within_either"})
# A maximum belongs to its session, and no bootstrap interval of one has its nominal coverage.
MAXIMA = frozenset(name for name in UNITS if name.startswith("maximum_"))


def metric_intervals(
    reference: np.ndarray,
    device: np.ndarray,
    tolerance: Tolerance,
    name: str,
    replicates: int = REPLICATES,
) -> dict[str, Interval]:
    """A 95 % interval for every figure of UNITS, in that order and in its unit.

    reference, device: bpm, shape (n,), one value a second in which the reference could be
    compared, NaN where it was not: blocks are of time, and gaps stay in them. name: what the
    random numbers depend on, such as session and recording. With fewer than FEWEST_SECONDS
    compared, and for a figure that is not defined, the interval is NaN.

    Sizes of error are taken as multiples of chi-squared by its cube root (Wilson & Hilferty
    1931, Proc Natl Acad Sci 17:684-688), correlations on Fisher's z, shares as of binomial
    cases of an effective number, the 95th percentile by the share below it (Woodruff 1952, J Am
    Stat Assoc 47:635-646, from memory). A maximum has none: NaN. The upper end of a size is
    infinite where a few seconds make all of it and the session sets no bound.
    """
    compared = ~(np.isnan(reference) | np.isnan(device))
    if np.count_nonzero(compared) < FEWEST_SECONDS:
        return dict.fromkeys(UNITS, UNKNOWN)
    difference = device - reference
    random = generator(name)
    drawn = draw(random, replicates, difference, np.abs(difference))
    resampled = metric_replicates(drawn.blocks, reference, device, tolerance)
    values = agreement_metrics(reference[compared], device[compared], compared.size, tolerance)
    spread = _Spread.of(difference[compared], resampled["bias"], drawn.quantile)
    intervals = {
        metric: spread.interval(metric, value, resampled[metric])
        for metric, value in values.items()
        if metric in resampled
    }
    below = np.where(compared, np.abs(difference) <= values["absolute_error_p95"], np.nan)
    intervals["absolute_error_p95"] = spread.percentile_interval(
        np.abs(difference[compared]), 0.95, drawn.means(below)
    )
    # Heart rate itself, and what interrupts a comparison, last longer than errors do.
    for metric, series in (("mean_reference", reference), ("mean_device", device)):
        series = np.where(compared, series, np.nan)
        intervals[metric] = mean_interval(series, random, replicates)
    presence = compared.astype(float)
    drawn = draw(random, replicates, presence)
    shares = drawn.means(presence)
    spread = _Spread.of(presence, shares, drawn.quantile)
    intervals["coverage"] = spread.share_interval(values["coverage"], 100 * shares)
    return {metric: intervals.get(metric, UNKNOWN) for metric in UNITS}


@dataclass(frozen=True)
class _Spread:
    """How intervals are made of the spread of resamples."""

    effective_n: float
    quantile: float

    @classmethod
    def of(cls, values: np.ndarray, means: np.ndarray, quantile: float) -> _Spread:
        """From a series, and its mean in each resample."""
        return cls(*effective_n_and_quantile(values, _sd(means), quantile))

    def interval(self, metric: str, value: float, resampled: np.ndarray) -> Interval:
        if math.isnan(value):
            return UNKNOWN
        if metric in SHARES:
            return self.share_interval(value, resampled)
        error = _sd(resampled)
        if metric in WIDENED:
            error *= self._wider
        half = self.quantile * error
        if metric in RECENTRED:
            value = 2 * value - float(np.nanmean(resampled))
        if metric in MEAN_SIZES:
            return self._size_interval(value, error)
        if metric in ROOT_SIZES:
            squares = self._size_interval(value**2, 2 * value * error)
            return Interval(math.sqrt(squares.low), math.sqrt(squares.high))
        if metric in CORRELATIONS:
            return _on_z_scale(value, half)
        return around(value, half)

    def share_interval(self, percent: float, resampled: np.ndarray) -> Interval:
        shares = self._share(percent / 100, resampled / 100)
        return Interval(100 * shares.low, 100 * shares.high)

    def percentile_interval(
        self, values: np.ndarray, share: float, shares_below: np.ndarray
    ) -> Interval:
        shares = self._share(share, shares_below, self._wider)
        low, high = np.quantile(values, [shares.low, shares.high])
        return Interval(float(low), float(high))

    def _size_interval(self, value: float, error: float) -> Interval:
        """Of a mean of sizes or squares, as if it were a multiple of chi-squared."""
        if value == 0:
            return Interval(0.0, 0.0)
        relative = error / value
        centre, half = 1 - relative**2 / 9, self.quantile * relative / 3
        high = value / (centre - half) ** 3 if centre > half else math.inf
        return Interval(value / (centre + half) ** 3, high)

    @property
    def _wider(self) -> float:
        return 1 + WIDENED_BY / self.effective_n

    def _share(self, share: float, resampled: np.ndarray, wider: float = 1.0) -> Interval:
        """The wider quantile is spent as a smaller effective number."""
        error = wider * _sd(resampled)
        cases = share * (1 - share) / error**2 if error > 0 else self.effective_n
        if cases * min(share, 1 - share) < FEW_CASES:
            # What a few misses in a row would vary by cannot be seen in them.
            cases = min(cases, self.effective_n)
        return share_of_dependent_cases(
            share, cases * (normal_quantile(LEVEL) / self.quantile) ** 2
        )


def _sd(resampled: np.ndarray) -> float:
    """NaN where a resample is infinite: one in which a side to be correlated does not vary."""
    if np.isinf(resampled).any():
        return math.nan
    return float(np.nanstd(resampled, ddof=1))


def _on_z_scale(value: float, half: float) -> Interval:
    if abs(value) >= 1:
        return Interval(value, value)
    centre, half = math.atanh(value), half / (1 - value**2)
    return Interval(math.tanh(centre - half), math.tanh(centre + half))
