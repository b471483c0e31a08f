"""The delay, smoothing and share of a strap's changes that come nearest to a device's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

# A second counts as no more than so far off, however far a sensor fails.
FARTHEST_BPM = 8.0
RESAMPLES = 200


@dataclass(frozen=True)
class Grid:
    """What is tried: shares, shifts in s, and pairs of time constants at rises and at falls, shape
    (c, 2), with the changes that these leave of the strap's, shape (c, n)."""

    shares: np.ndarray
    shifts: np.ndarray
    smoothing_s: np.ndarray
    late: np.ndarray

    @classmethod
    def of(
        cls,
        rate: np.ndarray,
        over_s: int,
        shares: np.ndarray,
        shifts: np.ndarray,
        smoothing_s: np.ndarray,
    ) -> Grid:
        """Of a rate without gaps, one value a second, and its changes over `over_s`."""
        half = over_s // 2
        late = [
            changes_over(np.pad(one, half, mode="edge"), over_s)[half:-half]
            for one in _responses(rate, smoothing_s)
        ]
        return cls(shares, shifts, smoothing_s, np.array(late))

    def misfit(self, changes: np.ndarray, seconds: np.ndarray) -> np.ndarray:
        """Sum of distances from the device's changes over these seconds, by share, smoothing and
        shift."""
        source = np.clip(seconds - self.shifts[:, np.newaxis], 0, self.late.shape[1] - 1)
        late = self.late[:, source]
        apart = [_bounded(changes[seconds] - share * late).sum(axis=-1) for share in self.shares]
        return np.array(apart)


@dataclass(frozen=True)
class Fit:
    """The first row is over all minutes, the others are over those of a Bayesian bootstrap.

    delays_s, least
        At rises and at falls, where least is left, shape (rows, 2); and how much, shape (rows,).
    place
        Of the first row in the grid: share, smoothing and shift.
    """

    grid: Grid
    delays_s: np.ndarray
    least: np.ndarray
    place: tuple[int, ...]

    def left(self, changes: np.ndarray, seconds: np.ndarray) -> tuple[float, float]:
        """What it leaves of the device's changes over these seconds, and what there is of them."""
        left = self.grid.misfit(changes, seconds)[self.place]
        return float(left), float(_bounded(changes[seconds]).sum())


def fitted(grid: Grid, changes: np.ndarray, minutes: list[np.ndarray]) -> Fit:
    """The best of the grid for a device's changes over the seconds of these minutes."""
    misfit = np.array([grid.misfit(changes, seconds) for seconds in minutes])
    drawn = np.random.default_rng(0).exponential(size=(RESAMPLES, len(minutes)))
    weights = np.concatenate([np.ones((1, len(minutes))), drawn])
    total = np.tensordot(weights, misfit, axes=1)
    rows = np.arange(total.shape[0])
    flat = np.argmin(total.reshape(rows.size, -1), axis=1)
    share, smoothing, shift = place = np.unravel_index(flat, misfit.shape[1:])
    # Between shifts the least lies where a parabola has it.
    middle_at = np.clip(shift, 1, grid.shifts.size - 2)
    left, middle, right = (total[rows, share, smoothing, middle_at + step] for step in (-1, 0, 1))
    bend = left - 2 * middle + right
    bent = (shift == middle_at) & (bend > 0)
    beside = np.where(bent, (left - right) / (2 * np.where(bend > 0, bend, 1)), 0.0)
    delays_s = (grid.shifts[shift] + beside)[:, np.newaxis] + grid.smoothing_s[smoothing]
    first = tuple(int(index[0]) for index in place)
    return Fit(grid, delays_s, total[rows, share, smoothing, shift], first)


def first_order(rate: np.ndarray, tau_s: float) -> np.ndarray:
    """First-order response to a heart rate, one value a second, with its gaps bridged by straight
    lines."""
    filled = bridged(rate)
    if not tau_s:
        return filled
    weight = 1 - np.exp(-1 / tau_s)
    return pd.Series(filled).ewm(alpha=weight, adjust=False).mean().to_numpy()


def bridged(rate: np.ndarray) -> np.ndarray:
    """With its gaps bridged by straight lines."""
    known = np.flatnonzero(~np.isnan(rate))
    filled: np.ndarray = np.interp(np.arange(rate.size), known, rate[known])
    return filled


def changes_over(rate: np.ndarray, over_s: int) -> np.ndarray:
    """Change over so long around each second."""
    changes = np.full(rate.shape, np.nan)
    half = over_s // 2
    if rate.size > over_s:
        changes[half:-half] = rate[over_s:] - rate[:-over_s]
    return changes


def _responses(rate: np.ndarray, smoothing_s: np.ndarray) -> np.ndarray:
    """First-order responses to a rate without gaps, shape (c, n)."""
    rise, fall = 1 - np.exp(-1 / np.maximum(smoothing_s, 1e-3)).T
    late = np.empty((rate.size, rise.size))
    late[0] = rate[0]
    for t in range(1, rate.size):
        behind = rate[t] - late[t - 1]
        late[t] = late[t - 1] + behind * np.where(behind > 0, rise, fall)
    return late.T


def _bounded(apart: np.ndarray) -> np.ndarray:
    distance: np.ndarray = np.minimum(np.abs(apart), FARTHEST_BPM)
    return distance
