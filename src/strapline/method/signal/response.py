"""How late a sensor follows, at rises, at falls and throughout, and when it first locks on."""

from dataclasses import dataclass
from itertools import product

import numpy as np

from strapline.method.signal.clocks.likeness import smoothed
from strapline.method.signal.response_fit import Fit, Grid, Smoothed, bridged, changes_over, fitted

# A sensor is late by a delay, by smoothing of the first order or by a mean over the last seconds.
SHIFTS_S = np.arange(-10, 41)
SMOOTHING_S = (0.0, 2.5, 5.0, 8.0, 12.0, 16.0, 22.0, 30.0)
MEANS_S = (5, 9, 13, 19, 25, 31, 41, 61)
# One that is slow in another way at rises than at falls: any two of these, near what fits
# throughout.
SIDES_S = (0.0, 1.0, 2.0, 3.0, 4.5, 6.0, 8.0, 10.0, 12.0, 14.5, 17.0, 20.0, 24.0, 30.0)
# Half of how far apart they are.
BETWEEN_S = 1.0
NEAR_S, NEAR_SHARE = 8, 0.15
# A sensor that shows a share of every change only, or overdoes it, is not late for that.
SHARES = np.arange(0.5, 1.11, 0.1)
# Changes over so long are told from a sensor's noise.
MATCHED_OVER_S = 30
# A rise or fall is a change by this much over `CHANGE_OVER_S`, for as many seconds on end; what a
# slow sensor makes of it is seen some time after.
CHANGE_OVER_S = 20
SMALLEST_CHANGE_BPM = 6.0
SHORTEST_S, AFTER_S = 10, 10
FEWEST = 3
# Values are compared every so many seconds: what changes over 30 s needs no more. A long session
# needs no more of them than a short one.
STEP_S, BLOCK_S = 4, 60
MOST_VALUES, MOST_BLOCKS = 1800, 180
# What is told follows the strap: it leaves less than this of the device's own changes, and is known
# to within so many seconds either way.
LARGEST_SHARE_LEFT, LARGEST_DOUBT_S = 0.75, 5.0
LOCK_HOLD_S = 30
PERCENTILES = (2.5, 97.5)


@dataclass(frozen=True)
class Delay:
    """Delay in s with a 95 % interval, over `count` rises, falls or minutes."""

    delay_s: float
    low_s: float
    high_s: float
    count: int


@dataclass(frozen=True)
class Response:
    """Delay behind rising and falling heart rate, and throughout, and how much longer it is at
    rises than at falls; None where it cannot be told, or may be none by chance."""

    rising: Delay | None
    falling: Delay | None
    throughout: Delay | None
    uneven: Delay | None


NOT_TOLD = Response(None, None, None, None)


def response(reference: np.ndarray, device: np.ndarray, apart_s: float = 1.0) -> Response:
    """How late the device shows the reference's rises, its falls, and all of its course.

    `reference` and `device` are heart rates in bpm at the same seconds, on settled clocks, NaN
    where missing; shapes (n,). The delay is that of the shift, smoothing (first-order, or a mean
    over the last seconds) and share of the reference's changes over 30 s that come nearest to the
    device's: the shift plus the mean delay of the smoothing. Then rises and falls have a time
    constant each, since a sensor that is slow at one of them is still on its way when the other
    begins; they are told apart where that fits better and chance alone does not turn the sign of
    their difference. Changes, so that a constant bias does not count; a share, so that a sensor
    that sees half of a rise is not late; distances of at most 8 bpm, so that a failed rise does not
    decide.

    The interval is a percentile interval of a Bayesian bootstrap over minutes, at least 3, in each
    of whose draws all is fitted again; where both ways of telling rises and falls fit, it holds
    what either tells. It is wider by half of a report of either side, for a report may stand for
    the time before or after its own: half a second of the reference's, and of the device's half of
    `apart_s`, the usual time between reports. The rule is our own.
    """
    unsure_s = (1 + apart_s) / 2
    length = reference.size
    smooth = smoothed(reference)
    if length <= MATCHED_OVER_S or np.isnan(smooth).all():
        return NOT_TOLD
    rate = bridged(smooth)
    changes = changes_over(smoothed(device), MATCHED_OVER_S)
    known = ~np.isnan(changes + changes_over(smooth, MATCHED_OVER_S))
    block_s = max(BLOCK_S, length // MOST_BLOCKS)
    blocks = [np.arange(s, min(s + block_s, length)) for s in range(0, length, block_s)]
    minutes = _compared(blocks, known, max(STEP_S, length // MOST_VALUES))
    if len(minutes) < FEWEST:
        return NOT_TOLD
    slow = Smoothed.first_order(rate, np.column_stack([SMOOTHING_S, SMOOTHING_S]))
    alike_in = slow.beside(Smoothed.means(rate, MEANS_S))
    alike = fitted(Grid.of(alike_in, MATCHED_OVER_S, SHARES, SHIFTS_S), changes, minutes)
    if not _follows(alike, changes, minutes):
        return NOT_TOLD
    apart = _by_sides(rate, changes, minutes, alike)
    parted = _parted(apart, alike)
    fits = [apart] if parted else [alike, apart][: 1 + (apart.least[0] <= alike.least[0])]
    slope = changes_over(smooth, CHANGE_OVER_S)
    sides = []
    for side, moving in enumerate((slope >= SMALLEST_CHANGE_BPM, slope <= -SMALLEST_CHANGE_BPM)):
        events = _compared(_events(moving, length), known, STEP_S)
        drawn_s = [fit.delays_s[:, side] for fit in fits]
        follows = _follows(fits[0], changes, events)
        sides.append(_delay(drawn_s, len(events), unsure_s) if follows else None)
    rising, falling = sides
    longer_s = [apart.delays_s[:, 0] - apart.delays_s[:, 1]]
    return Response(
        rising,
        falling,
        throughout=_delay([alike.delays_s[:, 0]], len(minutes), unsure_s),
        uneven=_delay(longer_s, len(minutes), BETWEEN_S) if parted and rising and falling else None,
    )


def _by_sides(rate: np.ndarray, changes: np.ndarray, minutes: list[np.ndarray], alike: Fit) -> Fit:
    """With a time constant each for rises and falls, near what fits both alike."""
    share, shift = alike.grid.shares[alike.place[0]], SHIFTS_S[alike.place[2]]
    shares = SHARES[np.abs(SHARES - share) < NEAR_SHARE]
    shifts = SHIFTS_S[np.abs(SHIFTS_S - shift) <= NEAR_S]
    sides = Smoothed.first_order(rate, np.array(list(product(SIDES_S, repeat=2))))
    return fitted(Grid.of(sides, MATCHED_OVER_S, shares, shifts), changes, minutes)


def first_lock(
    reference: np.ndarray,
    device: np.ndarray,
    hold_s: int,
    beats: float,
    percent: float,
) -> int | None:
    """Seconds from the first that the reference has until the device first stays near it for
    `hold_s`.

    Near is within `beats` bpm or `percent` % of the reference, whichever is wider, in each of
    the `hold_s` seconds; a second that the device misses is not near, and one that the reference
    misses is passed over, for it is no fault of the device. Series in bpm at the same seconds,
    shapes (n,). None if that never happens. The definition is our own.
    """
    known = np.flatnonzero(~np.isnan(reference))
    expected = reference[known]
    with np.errstate(invalid="ignore"):
        near = np.abs(device[known] - expected) <= np.maximum(beats, percent / 100 * expected)
    if near.size < hold_s:
        return None
    held = np.convolve(near, np.ones(hold_s), mode="valid") > hold_s - 0.5
    return int(known[np.argmax(held)] - known[0]) if held.any() else None


def _compared(spans: list[np.ndarray], known: np.ndarray, step_s: int) -> list[np.ndarray]:
    """Every so many seconds of each that are known, where those are half of them and more."""
    seconds = [span[::step_s] for span in spans]
    return [one[known[one]] for one in seconds if 2 * known[one].sum() >= one.size]


def _follows(fit: Fit, changes: np.ndarray, spans: list[np.ndarray]) -> bool:
    """Whether it leaves little of the device's own changes over spans that are enough."""
    if len(spans) < FEWEST or fit.place[2] in (0, fit.grid.shifts.size - 1):
        return False
    left, alone = fit.left(changes, np.concatenate(spans))
    return left <= LARGEST_SHARE_LEFT * alone


def _parted(apart: Fit, alike: Fit) -> bool:
    """Whether rises and falls are followed otherwise: that fits better, and by chance alone the one
    is not now the slower and now the other."""
    later_s = np.percentile(apart.delays_s[1:, 1] - apart.delays_s[1:, 0], PERCENTILES)
    return bool(apart.least[0] < alike.least[0] and np.prod(later_s) > 0)


def _delay(drawn_s: list[np.ndarray], count: int, unsure_s: float) -> Delay | None:
    """By the fit, which comes first, and those of its bootstrap; what another fits as well is as
    likely."""
    delay_s = float(drawn_s[0][0])
    ends = np.concatenate([[delay_s], *(np.percentile(one[1:], PERCENTILES) for one in drawn_s)])
    low_s, high_s = float(ends.min()), float(ends.max())
    if high_s - low_s > 2 * LARGEST_DOUBT_S:
        return None
    return Delay(delay_s, low_s - unsure_s, high_s + unsure_s, count)


def _events(moving: np.ndarray, length: int) -> list[np.ndarray]:
    """Indices of each run of moving seconds that is long enough, and of some time after it."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], moving, [False]])))
    runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [
        np.arange(start, min(end + AFTER_S, length))
        for start, end in runs
        if end - start >= SHORTEST_S
    ]
