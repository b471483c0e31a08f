"""How late a sensor follows rises and falls, and when it first locks on."""

from dataclasses import dataclass

import numpy as np

from strapline.method.signal.clocks.likeness import smoothed

EARLIEST_S, LATEST_S = -10, 60
CHANGE_OVER_S = 20
# A rise or fall is a change by this much over `CHANGE_OVER_S`, for as many seconds on end.
SMALLEST_CHANGE_BPM = 6.0
SHORTEST_S = 10
FEWEST = 3
LOCK_HOLD_S = 30
RESAMPLES = 400
PERCENTILES = (2.5, 97.5)


@dataclass(frozen=True)
class Delay:
    """Delay in s with a 95 % interval, over `count` rises or falls of the reference."""

    delay_s: float
    low_s: float
    high_s: float
    count: int


@dataclass(frozen=True)
class Response:
    """Delay behind rising and falling heart rate; None where there are too few to tell."""

    rising: Delay | None
    falling: Delay | None


def response(reference: np.ndarray, device: np.ndarray) -> Response:
    """The time shifts that best map the reference's rises and falls onto the device.

    `reference` and `device` are heart rates in bpm at the same seconds, on settled clocks, NaN
    where missing; shapes (n,). The shift, between −10 and 60 s, has the least sum of absolute
    differences between changes over 20 s, taken where the reference rises (falls): changes, so
    that a constant bias does not count; absolute, so that a failed rise does not decide. The
    interval is a percentile interval of a Bayesian bootstrap over rises (falls), at least 3.
    The rule is our own. If the clock was settled by the same heart rates, the two delays
    surround zero, and only their difference tells of the sensor.
    """
    wanted = _changes(reference)
    found = _changes(
        np.concatenate([np.full(-EARLIEST_S, np.nan), device, np.full(LATEST_S, np.nan)])
    )
    return Response(
        rising=_delay(wanted, found, wanted >= SMALLEST_CHANGE_BPM),
        falling=_delay(wanted, found, wanted <= -SMALLEST_CHANGE_BPM),
    )


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


def _delay(wanted: np.ndarray, found: np.ndarray, moving: np.ndarray) -> Delay | None:
    misfit, count = _misfits(wanted, found, _events(moving))
    if len(misfit) < FEWEST:
        return None
    random = np.random.default_rng(0)
    weights = random.exponential(size=(RESAMPLES, len(misfit)))
    best = _lowest(np.ones((1, len(misfit))), misfit, count)[0]
    low, high = np.percentile(_lowest(weights, misfit, count), PERCENTILES)
    return Delay(float(best), float(min(low, best)), float(max(high, best)), len(misfit))


def _misfits(
    wanted: np.ndarray, found: np.ndarray, events: list[np.ndarray]
) -> tuple[np.ndarray, np.ndarray]:
    """Sum of absolute differences, and seconds compared, by event and delay.

    Events of which the device, at some delay, misses more than half are left out.
    """
    lags = np.arange(LATEST_S - EARLIEST_S + 1)
    misfit, count = [], []
    for seconds in events:
        apart = np.abs(found[seconds + lags[:, np.newaxis]] - wanted[seconds])
        known = (~np.isnan(apart)).sum(axis=1)
        if known.min() >= seconds.size / 2:
            misfit.append(np.nansum(apart, axis=1))
            count.append(known)
    return np.array(misfit), np.array(count, dtype=float)


def _lowest(weights: np.ndarray, misfit: np.ndarray, count: np.ndarray) -> np.ndarray:
    """Delay of the least mean misfit for each row of weights, refined by a parabola."""
    mean = (weights @ misfit) / (weights @ count)
    best = np.clip(np.argmin(mean, axis=1), 1, mean.shape[1] - 2)
    rows = np.arange(mean.shape[0])
    left, middle, right = (mean[rows, best + step] for step in (-1, 0, 1))
    bend = left - 2 * middle + right
    shift = np.where(bend > 0, (left - right) / (2 * np.where(bend > 0, bend, 1)), 0.0)
    delay: np.ndarray = EARLIEST_S + best + np.clip(shift, -1, 1)
    return delay


def _events(moving: np.ndarray) -> list[np.ndarray]:
    """Indices of each run of moving seconds that is long enough."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], moving, [False]])))
    runs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [np.arange(start, end) for start, end in runs if end - start >= SHORTEST_S]


def _changes(rate: np.ndarray) -> np.ndarray:
    """Change over `CHANGE_OVER_S` around each second of the smoothed rate."""
    smooth = smoothed(rate)
    changes = np.full(rate.shape, np.nan)
    half = CHANGE_OVER_S // 2
    if rate.size > CHANGE_OVER_S:
        changes[half:-half] = smooth[CHANGE_OVER_S:] - smooth[:-CHANGE_OVER_S]
    return changes
