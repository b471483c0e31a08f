"""How far a device's clock is from the reference's, told by what both files measured besides heart
rate: speed, cadence or power.

These come from the same wheel, foot or crank, so their times differ by the clocks alone, and by the
filters of the sensors, of some 3 s at most. Altitude is no such channel: barometers are late by up
to 14 s though they agree well.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.fft import irfft, next_fast_len

from strapline.method.signal.clocks.channel import Changes, Channel
from strapline.method.signal.spacing import Spacing

SHORTEST_S = 600
LEAST_SHARE_OF_OVERLAP = 0.5
# At rest or at a constant pace there is nothing to tell lags apart by. Some files count strides, of
# two steps each.
LEAST_SPREAD = {"speed_m_s": 0.2, "cadence_per_min": 1.0, "power_w": 8.0}
NEIGHBOURHOOD_S = 10
LOWEST_CORRELATION, SMALLEST_LEAD = 0.6, 0.2
# Near r = 1 a smaller lead tells as much: where the next best leaves so many times as much of what
# changes unexplained. On intervals of equal length whose truth is known that let in no wrong one
# that the smallest lead keeps out.
LEAST_LEAD_IF_CLEAR, CLEARLY_MORE = 0.1, 4.0
# Two quantities that tell the same to a second err in their own ways: half of that lead in
# each is enough then.
LEAST_LEAD_OF_TWO, LARGEST_GAP_OF_TWO_S = 0.05, 1.0
LARGEST_ERROR_S = 1.0
# Where two files of one activity part, they part for good: at an offset that is another by then.
PART_S, LOWEST_IN_PART = 300, 0.3
BLOCK_S, REPLICATES = 60, 200
# Two channels of one pair of files that differ by more quarrel.
LARGEST_QUARREL_S = 4.0


@dataclass(frozen=True)
class ChannelOffset:
    """The offset in s to add to the device's times, by one quantity.

    correlation
        Pearson's r of the changes at that offset.
    lead
        How far r stands above its rival, the best more than 10 s away.
    error_s
        Standard error, from a bootstrap over blocks of 60 s; infinite where r is too low for it.
    common_s
        Seconds in which both have a value.
    lost_s
        How many fewer these are than at the rival: a period off, intervals may agree the better for
        a fault that falls out.
    """

    offset_s: float
    correlation: float
    lead: float
    error_s: float
    common_s: int
    at_edge: bool
    lost_s: int = 0

    @property
    def accepted(self) -> bool:
        """Whether a clock may be set by it."""
        clear = self._is_clear and self.lead >= LEAST_LEAD_IF_CLEAR
        return self.likely and (self.lead >= SMALLEST_LEAD or clear)

    @property
    def accepted_with_another(self) -> bool:
        """Whether a clock may be set by it if another quantity tells the same to a second."""
        return self.likely and self._is_clear and self.lead >= LEAST_LEAD_OF_TWO

    @property
    def _is_clear(self) -> bool:
        rival = max(self.correlation - self.lead, 0.0)
        more = 1 - rival**2 >= CLEARLY_MORE * (1 - self.correlation**2)
        return more and self.lost_s <= 0

    @property
    def likely(self) -> bool:
        """Whether a clock may be set by it if another quantity tells the same."""
        return (
            self.common_s >= SHORTEST_S
            and self.correlation >= LOWEST_CORRELATION
            and self.error_s <= LARGEST_ERROR_S
            and not self.at_edge
        )


@dataclass(frozen=True)
class Twin:
    """One quantity that both files measured: the reference's and the device's."""

    name: str
    ours: Channel
    theirs: Channel

    def by(self, theirs: Channel) -> Twin:
        """With this in the place of what the device measured."""
        return replace(self, theirs=theirs)

    @property
    def least_spread(self) -> float:
        return LEAST_SPREAD[self.name]

    @property
    def unsure_s(self) -> float:
        """How far a mean that both write may lie to either side of its time."""
        return max(Spacing.of(one.time_s).unsure_s for one in (self.ours, self.theirs))

    @property
    def varies(self) -> bool:
        """Whether both change enough to tell an offset by."""
        changes = (one.changes for one in (self.ours, self.theirs))
        known = [one.values[one.known] for one in changes]
        return all(one.size > 0 and float(one.std()) >= self.least_spread for one in known)

    @cached_property
    def correlations(self) -> tuple[np.ndarray, np.ndarray]:
        """Pearson's r of the changes of both at every lag, and over how many seconds, shapes
        (lags,); 0 where that is not half of the greatest overlap. Minus infinity there, and where
        either varies too little to tell; both are empty for less than ten minutes."""
        ours, theirs = self.ours.changes, self.theirs.changes
        if min(ours.known.sum(), theirs.known.sum()) < SHORTEST_S:
            return np.zeros(0), np.zeros(0)
        sums = _sums(ours, theirs)
        common = sums[0]
        enough = common >= max(SHORTEST_S, LEAST_SHARE_OF_OVERLAP * common.max())
        r = _correlation(sums, self.least_spread)
        return np.where(enough, r, -np.inf), np.where(enough, common, 0.0)

    @property
    def best_correlation(self) -> float:
        """Where they agree best; minus infinity where they cannot tell."""
        return float(np.max(self.correlations[0], initial=-np.inf))

    @cached_property
    def offset(self) -> ChannelOffset | None:
        """Where the changes of both agree best, of all lags; None where they cannot tell."""
        (r, common), ours, theirs = self.correlations, self.ours.changes, self.theirs.changes
        if not np.isfinite(self.best_correlation):
            return None
        lags = np.arange(r.size) - (theirs.values.size - 1)
        best = int(np.argmax(r))
        at_edge = best in np.flatnonzero(common)[[0, -1]]
        # What is refused without it needs no bootstrap.
        refused = at_edge or r[best] < LOWEST_CORRELATION
        far = np.where(np.abs(lags - lags[best]) > NEIGHBOURHOOD_S, r, -np.inf)
        second = int(np.argmax(far))
        rival = float(far[second]) if np.isfinite(far[second]) else 0.0
        offset_s = (ours.start_s - theirs.start_s) + lags[best]
        return ChannelOffset(
            offset_s=float(offset_s + _vertices(r[np.newaxis], np.array([best]))[0]),
            correlation=float(r[best]),
            lead=float(r[best] - rival),
            lost_s=round(float(common[second] - common[best])),
            error_s=np.inf if refused else _error(ours.values, theirs.values, int(lags[best])),
            common_s=round(float(common[best])),
            at_edge=bool(at_edge),
        )

    def longest_apart_s(self, offset_s: float) -> float:
        """For how long on end the changes of both do not go together at this offset, in s.

        Judged by five minutes at a time; those in which either hardly changes tell nothing.
        """
        ours, theirs = self.ours.changes, self.theirs.changes
        at = np.arange(ours.values.size) + round(ours.start_s - theirs.start_s - offset_s)
        inside = (at >= 0) & (at < theirs.values.size)
        shifted = np.full(ours.values.shape, np.nan)
        shifted[inside] = theirs.values[at[inside]]
        longest = run = 0.0
        for start in range(0, at.size - PART_S + 1, PART_S):
            x, y = ours.values[start : start + PART_S], shifted[start : start + PART_S]
            both = np.isfinite(x) & np.isfinite(y)
            if both.sum() < PART_S / 2 or min(x[both].std(), y[both].std()) < self.least_spread:
                continue
            apart = np.corrcoef(x[both], y[both])[0, 1] < LOWEST_IN_PART
            run = run + PART_S if apart else 0.0
            longest = max(longest, run)
        return longest


def accepted_of(both: Sequence[Twin]) -> list[Twin]:
    """Those that may set a clock: each by itself or, where none may, all that agree."""
    alone = [twin for twin in both if twin.offset and twin.offset.accepted]
    together = [twin for twin in both if twin.offset and twin.offset.accepted_with_another]
    offsets = [twin.offset.offset_s for twin in together if twin.offset]
    agree = len(offsets) > 1 and max(offsets) - min(offsets) <= LARGEST_GAP_OF_TWO_S
    return alone or (together if agree else [])


def agreed(found: Iterable[ChannelOffset]) -> float | None:
    """The offset by several channels, their median; None where there is none or they quarrel."""
    offsets = [one.offset_s for one in found]
    if not offsets or max(offsets) - min(offsets) > LARGEST_QUARREL_S:
        return None
    return float(np.median(offsets))


def _sums(ours: Changes, theirs: Changes) -> np.ndarray:
    """n, Σx, Σy, Σx², Σy², Σxy over the seconds that both have, at every lag; shape (6, lags)."""
    lags = ours.values.size + theirs.values.size - 1
    length = next_fast_len(lags, real=True)
    x, y = ours.spectra(length), theirs.spectra(length, turned=True)
    sums: np.ndarray = irfft(x[[0, 1, 0, 2, 0, 1]] * y[[0, 0, 1, 0, 2, 1]], length)[:, :lags]
    return sums


def _correlation(sums: np.ndarray, least_spread: float = 0.0) -> np.ndarray:
    """Pearson's r by lag; minus infinity where either side varies too little to tell."""
    n = np.maximum(sums[0], 1.0)
    mean_x, mean_y = sums[1] / n, sums[2] / n
    variance_x, variance_y = sums[3] / n - mean_x**2, sums[4] / n - mean_y**2
    enough = np.minimum(variance_x, variance_y) >= max(least_spread**2, 1e-12)
    covariance = sums[5] / n - mean_x * mean_y
    root = np.sqrt(np.where(enough, variance_x * variance_y, 1.0))
    return np.where(enough, covariance / root, -np.inf)


def _vertices(r: np.ndarray, best: np.ndarray) -> np.ndarray:
    """Where between lags the parabola through each row around its best has its top; 0 where it has
    none. Shapes (m, lags) and (m,)."""
    around = np.clip(best, 1, r.shape[1] - 2)[:, np.newaxis] + np.arange(-1, 2)
    three = np.take_along_axis(r, around, axis=1)
    has_top = (around[:, 1] == best) & np.isfinite(three).all(axis=1)
    before, top, after = np.where(has_top[:, np.newaxis], three, 0.0).T
    bend = before - 2 * top + after
    has_top &= bend < 0
    tops: np.ndarray = np.where(has_top, 0.5 * (before - after) / np.where(has_top, bend, 1.0), 0.0)
    return tops


def _error(ours: np.ndarray, theirs: np.ndarray, shift: int) -> float:
    """Standard error of the offset: of its bootstrap over blocks, near the best lag."""
    lags = shift + np.arange(-NEIGHBOURHOOD_S, NEIGHBOURHOOD_S + 1)
    places = np.arange(ours.size)
    starts = np.arange(0, ours.size, BLOCK_S)
    sums = np.empty((starts.size, 6, lags.size))
    for column, lag in enumerate(lags):
        at = places - lag
        inside = (at >= 0) & (at < theirs.size)
        y = np.where(inside, theirs[np.clip(at, 0, theirs.size - 1)], np.nan)
        both = np.isfinite(ours) & np.isfinite(y)
        x, y = np.where(both, ours, 0.0), np.where(both, y, 0.0)
        parts = (both.astype(float), x, y, x * x, y * y, x * y)
        sums[:, :, column] = np.array([np.add.reduceat(part, starts) for part in parts]).T
    random = np.random.default_rng(0)
    drawn = random.multinomial(starts.size, np.full(starts.size, 1 / starts.size), REPLICATES)
    r = _correlation(np.einsum("rb,bsl->srl", drawn, sums))
    best = np.argmax(r, axis=1)
    return float(np.std(lags[best] + _vertices(r, best), ddof=1))
