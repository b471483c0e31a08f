"""How far a device's clock is from the reference's, told by what both files measured besides heart
rate: speed, cadence or power.

These come from the same wheel, foot or crank, so their times differ by the clocks alone, and by the
filters of the sensors, of some 3 s at most. Altitude is no such channel: barometers are late by up
to 14 s though they agree well.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import correlate

from strapline.method.signal.grid import seconds_spanned, values_at

# What is common to both is told by changes within a minute or two: 3-s means less 120-s means.
SMOOTH_S, TREND_S = 3, 120
SHORTEST_S = 600
LEAST_SHARE_OF_OVERLAP = 0.5
# At rest or at a constant pace there is nothing to tell lags apart by. Some files count strides, of
# two steps each.
LEAST_SPREAD = {"speed_m_s": 0.2, "cadence_per_min": 1.0, "power_w": 8.0}
NEIGHBOURHOOD_S = 10
LOWEST_CORRELATION, SMALLEST_LEAD = 0.6, 0.2
LARGEST_ERROR_S = 1.0
# Where two files of one activity part, they part for good: at an offset that is another by then.
PART_S, LOWEST_IN_PART = 300, 0.3
BLOCK_S, REPLICATES = 60, 200
# Two channels of one pair of files that differ by more quarrel.
LARGEST_QUARREL_S = 4.0


@dataclass(frozen=True)
class Channel:
    """One quantity that a file measured: seconds since the epoch, ascending, and the values."""

    time_s: np.ndarray
    value: np.ndarray

    def where(self, kept: np.ndarray) -> Channel:
        return Channel(self.time_s[kept], self.value[kept])


@dataclass(frozen=True)
class ChannelOffset:
    """The offset in s to add to the device's times, by one quantity.

    correlation
        Pearson's r of the changes at that offset.
    lead
        How far r stands above the best more than 10 s away.
    error_s
        Standard error, from a bootstrap over blocks of 60 s; infinite where r is too low for it.
    common_s
        Seconds in which both have a value.
    """

    offset_s: float
    correlation: float
    lead: float
    error_s: float
    common_s: int
    at_edge: bool

    @property
    def accepted(self) -> bool:
        """Whether a clock may be set by it."""
        return self.likely and self.lead >= SMALLEST_LEAD

    @property
    def likely(self) -> bool:
        """Whether a clock may be set by it if another quantity tells the same."""
        return (
            self.common_s >= SHORTEST_S
            and self.correlation >= LOWEST_CORRELATION
            and self.error_s <= LARGEST_ERROR_S
            and not self.at_edge
        )


def channel_offset(
    reference: Channel,
    device: Channel,
    least_spread: float,
    longest_gap_s: float,
    about_s: float = 0.0,
    search_s: float | None = None,
) -> ChannelOffset | None:
    """Where the changes of both agree best; None where they cannot tell.

    All lags are searched at which both have at least half of their greatest overlap in common, or
    those within `search_s` of `about_s`. Where both record seldom, a value holds for at most
    `longest_gap_s`. A lag's r is over the seconds that both have.
    """
    ours, our_start = _changes(reference, longest_gap_s)
    theirs, their_start = _changes(device, longest_gap_s)
    if min(np.isfinite(ours).sum(), np.isfinite(theirs).sum()) < SHORTEST_S:
        return None
    sums = _sums(ours, theirs)
    common = sums[0]
    offsets = (our_start - their_start) + np.arange(common.size) - (theirs.size - 1)
    allowed = common >= max(SHORTEST_S, LEAST_SHARE_OF_OVERLAP * common.max())
    if search_s is not None:
        allowed &= np.abs(offsets - about_s) <= search_s
    if not allowed.any():
        return None
    r = np.where(allowed, _correlation(sums, least_spread), -np.inf)
    best = int(np.argmax(r))
    if not np.isfinite(r[best]):
        return None
    places = np.flatnonzero(allowed)
    at_edge = best in (places[0], places[-1])
    # What is refused without it needs no bootstrap.
    refused = at_edge or r[best] < LOWEST_CORRELATION
    far = r[np.abs(offsets - offsets[best]) > NEIGHBOURHOOD_S]
    rival = float(far.max()) if np.isfinite(far).any() else 0.0
    return ChannelOffset(
        offset_s=float(offsets[best] + _vertices(r[np.newaxis], np.array([best]))[0]),
        correlation=float(r[best]),
        lead=float(r[best] - rival),
        error_s=np.inf if refused else _error(ours, theirs, best - (theirs.size - 1)),
        common_s=round(float(common[best])),
        at_edge=bool(at_edge),
    )


def best_correlation(
    reference: Channel, device: Channel, least_spread: float, longest_gap_s: float
) -> float:
    """Pearson's r of the changes of both where they agree best, at any lag at which they have half
    of their greatest overlap in common; minus infinity where they cannot tell."""
    ours, theirs = (_changes(one, longest_gap_s)[0] for one in (reference, device))
    if min(np.isfinite(ours).sum(), np.isfinite(theirs).sum()) < SHORTEST_S:
        return -np.inf
    sums = _sums(ours, theirs)
    enough = sums[0] >= max(SHORTEST_S, LEAST_SHARE_OF_OVERLAP * sums[0].max())
    return float(np.max(_correlation(sums, least_spread)[enough], initial=-np.inf))


def varies(channel: Channel, least_spread: float, longest_gap_s: float) -> bool:
    """Whether it changes enough to tell an offset by."""
    changes = _changes(channel, longest_gap_s)[0]
    known = changes[np.isfinite(changes)]
    return known.size > 0 and float(known.std()) >= least_spread


def longest_apart_s(
    reference: Channel, device: Channel, offset_s: float, least_spread: float, longest_gap_s: float
) -> float:
    """For how long on end the changes of both do not go together at this offset, in s.

    Judged by five minutes at a time; those in which either hardly changes tell nothing.
    """
    ours, our_start = _changes(reference, longest_gap_s)
    theirs, their_start = _changes(device, longest_gap_s)
    at = np.arange(ours.size) + round(our_start - their_start - offset_s)
    inside = (at >= 0) & (at < theirs.size)
    shifted = np.full(ours.shape, np.nan)
    shifted[inside] = theirs[at[inside]]
    longest = run = 0.0
    for start in range(0, ours.size - PART_S + 1, PART_S):
        x, y = ours[start : start + PART_S], shifted[start : start + PART_S]
        both = np.isfinite(x) & np.isfinite(y)
        if both.sum() < PART_S / 2 or min(x[both].std(), y[both].std()) < least_spread:
            continue
        apart = np.corrcoef(x[both], y[both])[0, 1] < LOWEST_IN_PART
        run = run + PART_S if apart else 0.0
        longest = max(longest, run)
    return longest


def agreed(found: Iterable[ChannelOffset]) -> float | None:
    """The offset by several channels, their median; None where there is none or they quarrel."""
    offsets = [one.offset_s for one in found]
    if not offsets or max(offsets) - min(offsets) > LARGEST_QUARREL_S:
        return None
    return float(np.median(offsets))


def _changes(channel: Channel, longest_gap_s: float) -> tuple[np.ndarray, float]:
    """The 3-s mean less the 120-s mean, one a second from the second that is given with it."""
    seconds = seconds_spanned(channel.time_s)
    if seconds.size == 0:
        return seconds, 0.0
    value = values_at(seconds, channel.time_s, channel.value, longest_gap_s)
    return _mean(value, SMOOTH_S) - _mean(value, TREND_S), float(seconds[0])


def _mean(value: np.ndarray, width_s: int) -> np.ndarray:
    """Running mean; NaN where the value is missing."""
    known = np.isfinite(value)
    total = uniform_filter1d(np.where(known, value, 0.0), width_s, mode="constant")
    count = uniform_filter1d(known.astype(float), width_s, mode="constant")
    return np.where(known, total / np.maximum(count, 1e-9), np.nan)


def _sums(ours: np.ndarray, theirs: np.ndarray) -> np.ndarray:
    """n, Σx, Σy, Σx², Σy², Σxy over the seconds that both have, at every lag; shape (6, lags)."""
    x, y = np.nan_to_num(ours), np.nan_to_num(theirs)
    has_x, has_y = np.isfinite(ours).astype(float), np.isfinite(theirs).astype(float)
    pairs = [(has_x, has_y), (x, has_y), (has_x, y), (x * x, has_y), (has_x, y * y), (x, y)]
    return np.array([correlate(a, b, mode="full", method="fft") for a, b in pairs])


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
