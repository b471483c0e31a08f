"""A quantity besides heart rate that a file measured, and its changes within a minute or two."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from scipy.fft import rfft
from scipy.ndimage import uniform_filter1d

from strapline.method.signal.grid import seconds_spanned, values_at

# What is common to both is told by changes within a minute or two: 3-s means less 120-s means.
SMOOTH_S, TREND_S = 3, 120
# Devices that record when something changes do so at least this often while one moves.
LONGEST_GAP_S = 20.0


@dataclass(frozen=True)
class Channel:
    """One quantity that a file measured: seconds since the epoch, ascending, and the values."""

    time_s: np.ndarray
    value: np.ndarray

    def where(self, kept: np.ndarray) -> Channel:
        return Channel(self.time_s[kept], self.value[kept])

    def between(self, first_s: float, last_s: float) -> Channel:
        low, high = np.searchsorted(self.time_s, [first_s, last_s])
        return Channel(self.time_s[low:high], self.value[low:high])

    @cached_property
    def changes(self) -> Changes:
        seconds = seconds_spanned(self.time_s)
        if not seconds.size:
            return Changes(seconds, 0.0)
        value = values_at(seconds, self.time_s, self.value, LONGEST_GAP_S)
        return Changes(_mean(value, SMOOTH_S) - _mean(value, TREND_S), float(seconds[0]))


@dataclass(frozen=True)
class Changes:
    """The 3-s mean less the 120-s mean, one a second from `start_s` on, NaN where missing; shape
    (n,)."""

    values: np.ndarray
    start_s: float
    _spectra: dict[tuple[int, bool], np.ndarray] = field(default_factory=dict)

    @cached_property
    def known(self) -> np.ndarray:
        known: np.ndarray = np.isfinite(self.values)
        return known

    def spectra(self, length: int, turned: bool = False) -> np.ndarray:
        """Of where there are values, of these and of their squares, from first to last or `turned`
        the other way; shape (3, frequencies)."""
        if (length, turned) not in self._spectra:
            values = np.where(self.known, self.values, 0.0)
            series = np.array([self.known, values, values * values])
            self._spectra[length, turned] = rfft(series[:, ::-1] if turned else series, length)
        return self._spectra[length, turned]


def _mean(value: np.ndarray, width_s: int) -> np.ndarray:
    """Running mean; NaN where the value is missing."""
    known = np.isfinite(value)
    total = uniform_filter1d(np.where(known, value, 0.0), width_s, mode="constant")
    count = uniform_filter1d(known.astype(float), width_s, mode="constant")
    return np.where(known, total / np.maximum(count, 1e-9), np.nan)
