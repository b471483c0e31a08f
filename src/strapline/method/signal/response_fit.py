"""The delay, smoothing and share of a strap's changes that come nearest to a device's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.method.signal.grid import changes_over

# A second counts as no more than so far off, however far a sensor fails.
FARTHEST_BPM = 8.0
RESAMPLES = 200


@dataclass(frozen=True)
class Smoothed:
    """What sensors that smooth in several ways make of one rate.

    late_s
        The mean delay of each at rises and at falls, shape (c, 2): where the centre of its response
        to one beat lies.
    rates
        Shape (c, n).
    """

    late_s: np.ndarray
    rates: np.ndarray

    @classmethod
    def first_order(cls, rate: np.ndarray, constants_s: np.ndarray) -> Smoothed:
        """By time constants at rises and at falls, shape (c, 2), of a rate without gaps."""
        kept = np.exp(-1 / np.maximum(constants_s, 1e-3))
        return cls(kept / (1 - kept), _responses(rate, kept))

    @classmethod
    def means(cls, rate: np.ndarray, over_s: Sequence[int]) -> Smoothed:
        """By means over the last so many seconds, of a rate without gaps."""
        late_s = (np.array(over_s) - 1) / 2
        sums = [np.cumsum(np.pad(rate, (each, 0), mode="edge")) for each in over_s]
        means = [(one[each:] - one[:-each]) / each for one, each in zip(sums, over_s, strict=True)]
        return cls(np.column_stack([late_s, late_s]), np.array(means))

    def some(self, which: slice) -> Smoothed:
        return Smoothed(self.late_s[which], self.rates[which])

    def beside(self, other: Smoothed) -> Smoothed:
        return Smoothed(
            np.concatenate([self.late_s, other.late_s]), np.concatenate([self.rates, other.rates])
        )


@dataclass(frozen=True)
class Grid:
    """What is tried: shares, shifts in s, and ways to smooth, with their mean delays, shape (c, 2),
    and the changes that these leave of the strap's, shape (c, n)."""

    shares: np.ndarray
    shifts: np.ndarray
    late_s: np.ndarray
    late: np.ndarray

    @classmethod
    def of(cls, smoothed: Smoothed, over_s: int, shares: np.ndarray, shifts: np.ndarray) -> Grid:
        """By changes over `over_s`."""
        half = over_s // 2
        padded = np.pad(smoothed.rates, ((0, 0), (half, half)), mode="edge")
        late = changes_over(padded, over_s)[:, half:-half]
        return cls(shares, shifts, smoothed.late_s, late)

    def misfit(self, changes: np.ndarray, seconds: np.ndarray) -> np.ndarray:
        """Sum of distances from the device's changes over these seconds, by share, smoothing and
        shift."""
        source = np.clip(seconds - self.shifts[:, np.newaxis], 0, self.late.shape[1] - 1)
        theirs, late = changes[seconds], self.late[:, source]
        return np.array([_distance(theirs, share * late) for share in self.shares])


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
        share, smoothing, shift = ([place] for place in self.place)
        grid = self.grid
        best = Grid(grid.shares[share], grid.shifts[shift], grid.late_s, grid.late[smoothing])
        left = best.misfit(changes, seconds).item()
        return left, _distance(changes[seconds], np.zeros(seconds.size)).item()


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
    delays_s = (grid.shifts[shift] + beside)[:, np.newaxis] + grid.late_s[smoothing]
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


def _responses(rate: np.ndarray, kept: np.ndarray) -> np.ndarray:
    """First-order responses to a rate without gaps, shape (c, n), that keep such shares of what
    they lag behind at rises and at falls in a second, shape (c, 2)."""
    rise, fall = 1 - kept.T
    late = np.empty((rate.size, rise.size))
    late[0] = rate[0]
    for now, before, after in zip(rate[1:].tolist(), late, late[1:], strict=False):
        behind = now - before
        np.add(before, behind * np.where(behind > 0, rise, fall), out=after)
    return late.T


def _distance(theirs: np.ndarray, ours: np.ndarray) -> np.ndarray:
    """Sums over the last axis of how far `ours` is from `theirs`; `ours` is overwritten, for new
    memory would take longer than the sums."""
    np.subtract(theirs, ours, out=ours)
    np.abs(ours, out=ours)
    np.minimum(ours, FARTHEST_BPM, out=ours)
    distance: np.ndarray = ours.sum(axis=-1)
    return distance
