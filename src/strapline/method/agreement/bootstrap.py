"""95 % intervals of the figures of a session from the spread of resamples, by what kind they are.

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

Figures that large errors make hold the truth less often still with few independent
seconds, and are widened by a share of 1 / effective n that `tests/benchmarks/coverage.py` asks
for. It prints what intervals hold with first-order autoregressive errors, the family on which
the choices above were made; least of all for a share so near 100 % that a session holds hardly
one miss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.dependence import block_length
from strapline.method.agreement.interval import (
    NORMAL_QUANTILE,
    UNKNOWN,
    Interval,
    around,
    t_quantile,
)
from strapline.method.agreement.proportions import share_of_dependent_cases
from strapline.method.agreement.resampling import Blocks, draw_blocks

# By how much of an effective session figures that large errors make are widened.
WIDENED_BY = 5.0
FEW_CASES = 10
REPLICATES = 1000
LONGER = 3
FEWEST_SECONDS = 10


@dataclass(frozen=True)
class Spread:
    """How intervals are made of a figure and of the same in each resample, shape (replicates,);
    both in the figure's unit, and defined."""

    effective_n: float
    quantile: float

    @classmethod
    def of(cls, values: np.ndarray, means: np.ndarray, quantile: float) -> Spread:
        """From a series, and its mean in each resample."""
        return cls(*effective_n_and_quantile(values, _sd(means), quantile))

    def level(self, value: float, resampled: np.ndarray) -> Interval:
        """Of what lies evenly about its truth, such as a mean."""
        return around(value, self.quantile * _sd(resampled))

    def limit(self, value: float, resampled: np.ndarray) -> Interval:
        """Of a limit of agreement, with its bias over resamples taken off: the SD of values that
        repeat one another is too small."""
        half = self.quantile * (_sd(resampled) * self._wider)
        return around(2 * value - float(np.nanmean(resampled)), half)

    def size(self, value: float, resampled: np.ndarray) -> Interval:
        """Of a mean of sizes, as a multiple of chi-squared by its cube root (Wilson & Hilferty
        1931, Proc Natl Acad Sci 17:684-688). The upper end is infinite where a few seconds make
        all of it and the session sets no bound."""
        return self._size(value, _sd(resampled) * self._wider)

    def root_of_squares(self, value: float, resampled: np.ndarray) -> Interval:
        """Of the root of a mean of squares, which are sizes."""
        squares = self._size(value**2, 2 * value * (_sd(resampled) * self._wider))
        return Interval(math.sqrt(squares.low), math.sqrt(squares.high))

    def correlation(self, value: float, resampled: np.ndarray) -> Interval:
        """Of a correlation, on Fisher's z."""
        half = self.quantile * _sd(resampled)
        if abs(value) >= 1:
            return Interval(value, value)
        centre, half = math.atanh(value), half / (1 - value**2)
        return Interval(math.tanh(centre - half), math.tanh(centre + half))

    def percent(self, value: float, resampled: np.ndarray) -> Interval:
        """Of a share in percent, as of binomial cases of an effective number."""
        shares = self._share(value / 100, resampled / 100)
        return Interval(100 * shares.low, 100 * shares.high)

    def quantile_of(self, values: np.ndarray, share: float, shares_below: np.ndarray) -> Interval:
        """Of the quantile below which a share of `values` lies, by the share below it in each
        resample (Woodruff 1952, J Am Stat Assoc 47:635-646, from memory)."""
        shares = self._share(share, shares_below, self._wider)
        low, high = np.quantile(values, [shares.low, shares.high])
        return Interval(float(low), float(high))

    def _size(self, value: float, error: float) -> Interval:
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
        return share_of_dependent_cases(share, cases * (NORMAL_QUANTILE / self.quantile) ** 2)


def _sd(resampled: np.ndarray) -> float:
    """NaN where a resample is infinite: one in which a side to be correlated does not vary."""
    if np.isinf(resampled).any():
        return math.nan
    return float(np.nanstd(resampled, ddof=1))


def mean_interval(
    series: np.ndarray, random: np.random.Generator, replicates: int = REPLICATES
) -> Interval:
    """A 95 % interval for the mean of an evenly spaced series of shape (n,), in its unit.

    NaN marks what is missing. Fewer than FEWEST_SECONDS values give NaN.
    """
    present = series[~np.isnan(series)]
    if present.size < FEWEST_SECONDS:
        return UNKNOWN
    drawn = draw(random, replicates, series)
    means = drawn.means(series)
    error = float(np.nanstd(means, ddof=1))
    _, quantile = effective_n_and_quantile(present, error, drawn.quantile)
    return around(float(np.mean(present)), quantile * error)


@dataclass(frozen=True)
class Drawn:
    """Blocks, and the multiple of a standard error from them that makes an interval."""

    blocks: Blocks
    quantile: float

    def means(self, series: np.ndarray) -> np.ndarray:
        """Of the values that are not NaN, shape (replicates,)."""
        present = ~np.isnan(series)
        with np.errstate(invalid="ignore"):
            sums = self.blocks.sums(np.where(present, series, 0.0))
            means: np.ndarray = sums / self.blocks.sums(present.astype(float))
        return means


def draw(random: np.random.Generator, replicates: int, *series: np.ndarray) -> Drawn:
    """Blocks long enough for the most persistent of `series`."""
    n = series[0].size
    shorter = max(block_length(each) for each in series)
    length = max(1, min(round(LONGER * shorter), n // 3))
    lost = math.sqrt(2 * shorter**3 / (3 * n)) / length if shorter > 1 else 0.0
    quantile = _fixed_share_quantile(length / n) / math.sqrt(max(1 - lost, 0.3))
    return Drawn(draw_blocks(n, length, replicates, random), quantile)


def effective_n_and_quantile(
    values: np.ndarray, error: float, quantile: float
) -> tuple[float, float]:
    """The effective number of `values`, whose mean has that standard error, and `quantile`
    widened for how uncertain a standard error from so few is."""
    effective = float(np.var(values)) / error**2 if error > 0 else values.size
    effective = min(max(effective, 3.0), values.size)
    t_over_z = t_quantile(effective - 1) / NORMAL_QUANTILE
    return effective, quantile * t_over_z


def _fixed_share_quantile(b: float) -> float:
    """Kiefer & Vogelsang 2005, table 1: Bartlett kernel, two-sided 95 %."""
    return 1.9600 + 2.9694 * b + 0.4160 * b**2 - 0.5324 * b**3
