"""How late a sensor follows, at rises, at falls and throughout, and when it first locks on."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.method.signal.clocks.likeness import smoothed

# A sensor is late by a delay, by smoothing, or by both; smoothing delays by its time constant.
EARLIEST_S, LATEST_S = -10, 40
SMOOTHING_S = (0.0, 2.5, 5.0, 8.0, 12.0, 16.0, 22.0, 30.0)
# A sensor that shows a share of every change only, or overdoes it, is not late for that.
SHARES = np.arange(0.5, 1.11, 0.1)
# Changes over so long are told from a sensor's noise.
MATCHED_OVER_S = 30
# A second counts as no more than so far off, however far a sensor fails.
FARTHEST_BPM = 8.0
# A rise or fall is a change by this much over `CHANGE_OVER_S`, for as many seconds on end; what a
# slow sensor makes of it is seen some time after.
CHANGE_OVER_S = 20
SMALLEST_CHANGE_BPM = 6.0
SHORTEST_S, AFTER_S = 10, 10
FEWEST = 3
BLOCK_S = 60
# Values are compared every so many seconds: what changes over 30 s needs no more.
STEP_S = 4
# What is told follows the strap: it leaves less than this of the device's own changes, and is known
# to within so many seconds either way.
LARGEST_SHARE_LEFT, LARGEST_DOUBT_S = 0.75, 5.0
# By so much sensors of another shape than these come out wrong, over simulated sessions.
UNSURE_S = 1.0
LOCK_HOLD_S = 30
RESAMPLES = 200
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


@dataclass(frozen=True)
class _Changes:
    """Changes over 30 s at each second, shapes (n,): the strap's, as it is and after each
    smoothing, and the device's."""

    reference: np.ndarray
    late: np.ndarray
    device: np.ndarray


def response(reference: np.ndarray, device: np.ndarray) -> Response:
    """How late the device shows the reference's rises, its falls, and all of its course.

    `reference` and `device` are heart rates in bpm at the same seconds, on settled clocks, NaN
    where missing; shapes (n,). The delay is that of the shift, first-order smoothing and share of
    the reference's changes over 30 s that come nearest to the device's: the shift plus the time
    constant. Changes, so that a constant bias does not count; a share, so that a sensor that sees
    half of a rise is not late; distances of at most 8 bpm, so that a failed rise does not decide.
    The interval is a percentile interval of a Bayesian bootstrap over rises, falls or minutes, at
    least 3. The rule is our own.
    """
    length = reference.size
    if length <= MATCHED_OVER_S or np.isnan(smoothed(reference)).all():
        return Response(None, None, None)
    smooth = smoothed(reference)
    late = np.array([_throughout(first_order(smooth, tau_s)) for tau_s in SMOOTHING_S])
    changes = _Changes(_changes(smooth), late, _changes(smoothed(device)))
    slope = _changes(smooth, CHANGE_OVER_S)
    minutes = [np.arange(s, min(s + BLOCK_S, length)) for s in range(0, length, BLOCK_S)]
    return Response(
        rising=_delay(changes, _events(slope >= SMALLEST_CHANGE_BPM, length)),
        falling=_delay(changes, _events(slope <= -SMALLEST_CHANGE_BPM, length)),
        throughout=_delay(changes, minutes),
    )


def first_order(rate: np.ndarray, tau_s: float) -> np.ndarray:
    """First-order response to a heart rate, one value a second, with its gaps bridged by straight
    lines."""
    known = np.flatnonzero(~np.isnan(rate))
    filled = np.interp(np.arange(rate.size), known, rate[known])
    if not tau_s:
        return np.asarray(filled)
    weight = 1 - np.exp(-1 / tau_s)
    return pd.Series(filled).ewm(alpha=weight, adjust=False).mean().to_numpy()


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


def _delay(changes: _Changes, events: list[np.ndarray]) -> Delay | None:
    fits = [found for event in events if (found := _fit(changes, event)) is not None]
    if len(fits) < FEWEST:
        return None
    misfit, without = np.array([fit for fit, _ in fits]), sum(alone for _, alone in fits)
    total = misfit.sum(axis=0)
    best, inside = _lowest(total[np.newaxis])
    if not inside[0] or total.min() > LARGEST_SHARE_LEFT * without:
        return None
    random = np.random.default_rng(0)
    weights = random.exponential(size=(RESAMPLES, len(fits)))
    resampled, _ = _lowest(np.tensordot(weights, misfit, axes=1))
    low, high = np.percentile(resampled, PERCENTILES)
    delay_s = float(best[0])
    low, high = min(low, delay_s) - UNSURE_S, max(high, delay_s) + UNSURE_S
    if high - low > 2 * LARGEST_DOUBT_S:
        return None
    return Delay(delay_s, float(low), float(high), len(fits))


def _fit(changes: _Changes, event: np.ndarray) -> tuple[np.ndarray, float] | None:
    """Sum of distances by share, smoothing and shift, and that of the device's own changes; None
    where more than half of the seconds are missing."""
    seconds = event[::STEP_S]
    known = ~(np.isnan(changes.device[seconds]) | np.isnan(changes.reference[seconds]))
    if known.sum() < seconds.size / 2:
        return None
    at = seconds[known]
    device = changes.device[at]
    shifts = np.arange(EARLIEST_S, LATEST_S + 1)
    source = np.clip(at - shifts[:, np.newaxis], 0, changes.reference.size - 1)
    late = changes.late[:, source]
    apart = np.array([_bounded(device - share * late).sum(axis=-1) for share in SHARES])
    return apart, float(_bounded(device).sum())


def _bounded(apart: np.ndarray) -> np.ndarray:
    distance: np.ndarray = np.minimum(np.abs(apart), FARTHEST_BPM)
    return distance


def _lowest(misfit: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """For each row by share, smoothing and shift: the delay of the least misfit, refined by a
    parabola, and whether its shift is not the first or last."""
    rows = np.arange(misfit.shape[0])
    flat = misfit.reshape(rows.size, -1)
    share, smoothing, shift = np.unravel_index(np.argmin(flat, axis=1), misfit.shape[1:])
    inside = (shift > 0) & (shift < misfit.shape[3] - 1)
    middle_at = np.clip(shift, 1, misfit.shape[3] - 2)
    left, middle, right = (misfit[rows, share, smoothing, middle_at + step] for step in (-1, 0, 1))
    bend = left - 2 * middle + right
    refined = np.where(inside & (bend > 0), (left - right) / (2 * np.where(bend > 0, bend, 1)), 0.0)
    return EARLIEST_S + shift + refined + np.array(SMOOTHING_S)[smoothing], inside


def _events(moving: np.ndarray, length: int) -> list[np.ndarray]:
    """Indices of each run of moving seconds that is long enough, and of some time after it."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], moving, [False]])))
    runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [
        np.arange(start, min(end + AFTER_S, length))
        for start, end in runs
        if end - start >= SHORTEST_S
    ]


def _changes(rate: np.ndarray, over_s: int = MATCHED_OVER_S) -> np.ndarray:
    """Change over so long around each second."""
    changes = np.full(rate.shape, np.nan)
    half = over_s // 2
    if rate.size > over_s:
        changes[half:-half] = rate[over_s:] - rate[:-over_s]
    return changes


def _throughout(rate: np.ndarray) -> np.ndarray:
    """The same, with a rate that stays as it is before the first second and after the last."""
    half = MATCHED_OVER_S // 2
    return _changes(np.pad(rate, half, mode="edge"))[half:-half]
