"""How late a sensor follows, at rises, at falls and throughout, and when it first locks on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.records.alignment import ClockDecision, Delay
from strapline.ground.vocabulary import Status
from strapline.method.signal.clocks.likeness import smoothed, usual_level
from strapline.method.signal.grid import changes_over
from strapline.method.signal.late_sensors import BETWEEN_S, FEWEST, STEP_S, Course, compared
from strapline.method.signal.response_fit import Fit
from strapline.method.signal.spacing import is_line, usual_s
from strapline.method.signal.spans import spans_of

if TYPE_CHECKING:
    import pandas as pd

# A rise or fall is a change by this much over `CHANGE_OVER_S`, for as many seconds on end; what a
# slow sensor makes of it is seen some time after.
CHANGE_OVER_S = 20
SMALLEST_CHANGE_BPM = 6.0
SHORTEST_S, AFTER_S = 10, 10
# What is told follows the strap: it leaves less than this of the device's own changes, and is known
# to within so many seconds either way.
LARGEST_SHARE_LEFT, LARGEST_DOUBT_S = 0.75, 5.0
# A delay that is longer than this doubt, taken out, leaves no more of the error.
LARGEST_ERROR_LEFT = 0.9
LOCK_HOLD_S = 30
PERCENTILES = (2.5, 97.5)


@dataclass(frozen=True)
class Response:
    """Delay behind rising and falling heart rate, and throughout, and how much longer it is at
    rises than at falls, with 95 % intervals; None where it cannot be told, or may be none by
    chance."""

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
    decide; and stretches left out in which the device fails whatever it may be late by.

    The interval is a percentile interval of a Bayesian bootstrap over minutes, at least 3, in each
    of whose draws all is fitted again; where both ways of telling rises and falls fit, it holds
    what either tells. It is wider by half of a report of either side, for a report may stand for
    the time before or after its own: half a second of the reference's, and of the device's half of
    `apart_s`, the usual time between reports. The rule is our own.
    """
    unsure_s = (1 + apart_s) / 2
    whole = Course.of(reference, device)
    course = whole and whole.where_it_follows()
    if course is None:
        return NOT_TOLD
    changes, minutes = course.changes, course.minutes
    alike = course.alike()
    if not _follows(alike, changes, minutes):
        return NOT_TOLD
    has_a_level = course is not whole
    if has_a_level and not _nearer(alike, reference, device, course.known):
        return NOT_TOLD
    apart = course.by_sides(alike)
    parted = _parted(apart, alike)
    fits = [apart] if parted else [alike, apart][: 1 + (apart.least[0] <= alike.least[0])]
    slope = changes_over(smoothed(reference), CHANGE_OVER_S)
    sides = []
    for side, moving in enumerate((slope >= SMALLEST_CHANGE_BPM, slope <= -SMALLEST_CHANGE_BPM)):
        events = compared(_events(moving, reference.size), course.known, STEP_S)
        drawn_s = [fit.delays_s[:, side] for fit in fits]
        follows = _follows(fits[0], changes, events)
        sides.append(_delay(drawn_s, unsure_s) if follows else None)
    rising, falling = sides
    longer_s = [apart.delays_s[:, 0] - apart.delays_s[:, 1]]
    return Response(
        rising,
        falling,
        throughout=_delay([alike.delays_s[:, 0]], unsure_s),
        uneven=_delay(longer_s, BETWEEN_S) if parted and rising and falling else None,
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


def _follows(fit: Fit, changes: np.ndarray, spans: list[np.ndarray]) -> bool:
    """Whether it leaves little of the device's own changes over spans that are enough."""
    if len(spans) < FEWEST or fit.place[2] in (0, fit.grid.shifts.size - 1):
        return False
    left, alone = fit.left(changes, np.concatenate(spans))
    return left <= LARGEST_SHARE_LEFT * alone


def _nearer(alike: Fit, reference: np.ndarray, device: np.ndarray, known: np.ndarray) -> bool:
    """Whether the device, its usual distance aside, is nearer to the strap of so many seconds ago
    than to that of now, where these are not few."""
    late_s = round(float(alike.delays_s[0, 0]))
    if late_s <= LARGEST_DOUBT_S:
        return True
    seconds = np.flatnonzero(known)
    before = np.maximum(seconds - late_s, 0)
    apart = device[seconds] - reference[[seconds, before]]
    now_bpm, then_bpm = np.nanmean(np.abs(apart - usual_level(apart)[0]), axis=1)
    return bool(then_bpm <= LARGEST_ERROR_LEFT * now_bpm)


def _parted(apart: Fit, alike: Fit) -> bool:
    """Whether rises and falls are followed otherwise: that fits better, and by chance alone the one
    is not now the slower and now the other."""
    later_s = np.percentile(apart.delays_s[1:, 1] - apart.delays_s[1:, 0], PERCENTILES)
    return bool(apart.least[0] < alike.least[0] and np.prod(later_s) > 0)


def _delay(drawn_s: list[np.ndarray], unsure_s: float) -> Delay | None:
    """By the fit, which comes first, and those of its bootstrap; what another fits as well is as
    likely."""
    delay_s = float(drawn_s[0][0])
    ends = np.concatenate([[delay_s], *(np.percentile(one[1:], PERCENTILES) for one in drawn_s)])
    low_s, high_s = float(ends.min()), float(ends.max())
    if high_s - low_s > 2 * LARGEST_DOUBT_S:
        return None
    return Delay(delay_s=delay_s, low_s=low_s - unsure_s, high_s=high_s + unsure_s)


def _events(moving: np.ndarray, length: int) -> list[np.ndarray]:
    """Indices of each run of moving seconds that is long enough, and of some time after it."""
    return [
        np.arange(start, min(end + AFTER_S, length))
        for start, end in spans_of(moving)
        if end - start >= SHORTEST_S
    ]


def with_delay(decision: ClockDecision, aligned: pd.DataFrame) -> ClockDecision:
    """The decision with the delay that it leaves, from the device's rows under ALIGNED by it; none
    where heart rate set the clock to the second, for then the two cannot be parted."""
    compared = aligned["status"] == Status.COMPARED
    if decision.is_fitted or not compared.any():
        return decision
    apart_s = usual_s(aligned.loc[compared, "stands_for_s"].to_numpy())
    if not is_line(apart_s):
        return decision
    comparable = compared | (aligned["status"] == Status.NO_DEVICE)
    found = response(
        aligned["reference_bpm"].where(comparable).to_numpy(),
        aligned["device_bpm"].where(compared).to_numpy(),
        apart_s,
    )
    told = {
        "delay": found.throughout,
        "rising": found.rising,
        "falling": found.falling,
        "uneven": found.uneven,
    }
    return decision.model_copy(update={name: _rounded(one) for name, one in told.items()})


def _rounded(found: Delay | None) -> Delay | None:
    return found and Delay(**{name: round(value, 1) for name, value in found})
