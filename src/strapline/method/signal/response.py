"""How late a sensor follows, at rises, at falls and throughout, and when it first locks on."""

from dataclasses import dataclass
from itertools import product

import numpy as np

from strapline.method.signal.clocks.likeness import smoothed
from strapline.method.signal.response_fit import Fit, Grid, bridged, changes_over, fitted
from strapline.method.signal.spacing import half_a_report_s

# A sensor is late by a delay, by smoothing, or by both; smoothing delays by its time constant.
SHIFTS_S = np.arange(-10, 41)
SMOOTHING_S = (0.0, 2.5, 5.0, 8.0, 12.0, 16.0, 22.0, 30.0)
# One that is slow in another way at rises than at falls: any two of these, near what fits
# throughout, where they leave so much less, of what rounding leaves in any case too.
SIDES_S = (0.0, 2.0, 4.0, 6.0, 8.0, 11.0, 14.0, 18.0, 23.0, 30.0)
NEAR_S, LESS, ROUNDING_BPM = 8, 0.95, 0.5
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
# By so much sensors of another shape than these come out wrong, over simulated sessions.
UNSURE_S = 1.5
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
    """Delay behind rising and falling heart rate, and throughout; None where it cannot be told."""

    rising: Delay | None
    falling: Delay | None
    throughout: Delay | None


def response(reference: np.ndarray, device: np.ndarray, apart_s: float = 1.0) -> Response:
    """How late the device shows the reference's rises, its falls, and all of its course.

    `reference` and `device` are heart rates in bpm at the same seconds, on settled clocks, NaN
    where missing; shapes (n,). The delay is that of the shift, first-order smoothing and share of
    the reference's changes over 30 s that come nearest to the device's: the shift plus the time
    constant. Then rises and falls have a time constant each, since a sensor that is slow at one of
    them is still on its way when the other begins. Changes, so that a constant bias does not count;
    a share, so that a sensor that sees half of a rise is not late; distances of at most 8 bpm, so
    that a failed rise does not decide. The interval is a percentile interval of a Bayesian
    bootstrap over minutes, at least 3; wider by half of `apart_s`, the usual time between reports.
    The rule is our own.
    """
    unsure_s = half_a_report_s(apart_s)
    length = reference.size
    smooth = smoothed(reference)
    if length <= MATCHED_OVER_S or np.isnan(smooth).all():
        return Response(None, None, None)
    rate = bridged(smooth)
    changes = changes_over(smoothed(device), MATCHED_OVER_S)
    known = ~np.isnan(changes + changes_over(smooth, MATCHED_OVER_S))
    block_s = max(BLOCK_S, length // MOST_BLOCKS)
    blocks = [np.arange(s, min(s + block_s, length)) for s in range(0, length, block_s)]
    minutes = _compared(blocks, known, max(STEP_S, length // MOST_VALUES))
    if len(minutes) < FEWEST:
        return Response(None, None, None)
    both_s = np.column_stack([SMOOTHING_S, SMOOTHING_S])
    alike = fitted(Grid.of(rate, MATCHED_OVER_S, SHARES, SHIFTS_S, both_s), changes, minutes)
    if not _follows(alike, changes, minutes):
        return Response(None, None, None)
    share, shift = alike.grid.shares[alike.place[0]], SHIFTS_S[alike.place[2]]
    near = SHARES[np.abs(SHARES - share) < 0.15], SHIFTS_S[np.abs(SHIFTS_S - shift) <= NEAR_S]
    sides_s = np.array(list(product(SIDES_S, repeat=2)))
    apart = fitted(Grid.of(rate, MATCHED_OVER_S, *near, sides_s), changes, minutes)
    rounding = ROUNDING_BPM * sum(one.size for one in minutes)
    less = apart.least + rounding < LESS * (alike.least + rounding)
    delays_s = np.where(less[:, np.newaxis], apart.delays_s, alike.delays_s)
    slope = changes_over(smooth, CHANGE_OVER_S)
    told = []
    for side, moving in enumerate((slope >= SMALLEST_CHANGE_BPM, slope <= -SMALLEST_CHANGE_BPM)):
        events = _compared(_events(moving, length), known, STEP_S)
        follows = _follows(apart if less[0] else alike, changes, events)
        told.append(_delay(delays_s[:, side], len(events), unsure_s) if follows else None)
    return Response(told[0], told[1], _delay(alike.delays_s[:, 0], len(minutes), unsure_s))


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


def _delay(drawn_s: np.ndarray, count: int, unsure_s: float) -> Delay | None:
    """By the fit, which comes first, and those of its bootstrap."""
    delay_s = float(drawn_s[0])
    low, high = np.percentile(drawn_s[1:], PERCENTILES)
    low, high = min(low, delay_s) - UNSURE_S, max(high, delay_s) + UNSURE_S
    if high - low > 2 * LARGEST_DOUBT_S:
        return None
    return Delay(delay_s, float(low) - unsure_s, float(high) + unsure_s, count)


def _events(moving: np.ndarray, length: int) -> list[np.ndarray]:
    """Indices of each run of moving seconds that is long enough, and of some time after it."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], moving, [False]])))
    runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [
        np.arange(start, min(end + AFTER_S, length))
        for start, end in runs
        if end - start >= SHORTEST_S
    ]
