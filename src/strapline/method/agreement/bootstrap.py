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

from strapline.method.agreement.interval import NORMAL_QUANTILE, Interval, around
from strapline.method.agreement.mean_interval import effective_n_and_quantile
from strapline.method.agreement.proportions import share_of_dependent_cases

# By how much of an effective session figures that large errors make are widened.
WIDENED_BY = 5.0
FEW_CASES = 10


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
