"""A 95 % interval of a mean from a circular block bootstrap, and what other figures' share with it.

What is answered, and how, stands in `strapline.method.agreement.bootstrap`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.dependence import block_lengths
from strapline.method.agreement.interval import (
    NORMAL_QUANTILE,
    UNKNOWN,
    Interval,
    around,
    t_quantile,
)
from strapline.method.agreement.resampling import Blocks, draw_blocks

REPLICATES = 1000
LONGER = 3
FEWEST_SECONDS = 10


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
    shorter = max(block_lengths(each).circular for each in series)
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
