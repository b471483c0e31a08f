"""What figures are made of, over all resamples of a session at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strapline.method.agreement.resampling import Blocks
from strapline.method.metrics.compared import Compared


@dataclass(frozen=True)
class Resamples:
    """Every array has the shape (replicates,), and is NaN for what a resample does not
    define."""

    compared: Compared
    blocks: Blocks

    def mean(self, series: np.ndarray) -> np.ndarray:
        """Of a series of shape (n,), where both sides are there."""
        present = np.where(self.compared.present, series, 0.0)
        with np.errstate(divide="ignore", invalid="ignore"):
            means: np.ndarray = self.blocks.sums(present) / self.pairs
        return means

    @cached_property
    def pairs(self) -> np.ndarray:
        """How many pairs were compared."""
        return self.blocks.sums(self.compared.present.astype(float))

    @cached_property
    def mean_r(self) -> np.ndarray:
        mean: np.ndarray = self._mean_r + self._centre[0]
        return mean

    @cached_property
    def mean_d(self) -> np.ndarray:
        mean: np.ndarray = self._mean_d + self._centre[1]
        return mean

    @cached_property
    def bias(self) -> np.ndarray:
        bias: np.ndarray = self.mean_d - self.mean_r
        return bias

    @cached_property
    def var_r(self) -> np.ndarray:
        variance: np.ndarray = np.maximum(self.mean(self._sides[0] ** 2) - self._mean_r**2, 0)
        return variance

    @cached_property
    def var_d(self) -> np.ndarray:
        variance: np.ndarray = np.maximum(self.mean(self._sides[1] ** 2) - self._mean_d**2, 0)
        return variance

    @cached_property
    def covariance(self) -> np.ndarray:
        r, d = self._sides
        covariance: np.ndarray = self.mean(r * d) - self._mean_r * self._mean_d
        return covariance

    @cached_property
    def sd_of_differences(self) -> np.ndarray:
        """Over n - 1."""
        r, d = self._sides
        variance = np.maximum(self.mean((d - r) ** 2) - (self._mean_d - self._mean_r) ** 2, 0)
        with np.errstate(divide="ignore", invalid="ignore"):
            sd: np.ndarray = np.sqrt(variance * (self.pairs / (self.pairs - 1)))
        return sd

    # About the session's means, so that squares keep their digits.
    @cached_property
    def _centre(self) -> tuple[float, float]:
        r, d = self.compared.pairs
        return float(np.mean(r)), float(np.mean(d))

    @cached_property
    def _sides(self) -> tuple[np.ndarray, np.ndarray]:
        return self.compared.reference - self._centre[0], self.compared.device - self._centre[1]

    @cached_property
    def _mean_r(self) -> np.ndarray:
        return self.mean(self._sides[0])

    @cached_property
    def _mean_d(self) -> np.ndarray:
        return self.mean(self._sides[1])
