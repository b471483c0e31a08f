"""The last evidence of a clock: heart rate, and that only where no sensor can explain the shift,
or how it grows over a long session."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.ground.words import clock, lasting, listed, shift
from strapline.method.signal.clocks.heart_rate_search import (
    LARGEST_LEAD_S,
    Demands,
    OffsetSearch,
    search_offset,
)
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.pauses import card_line, left_out, pauses_left_out
from strapline.method.signal.clocks.pieces import pieces_of, set_right
from strapline.method.signal.clocks.quarters import find_gross_shift, spoken

FLATTERING = (
    "To fit a clock by heart rate flatters the device, so nothing over sessions rests on it."
)
SHORTEST_S = 3600
# From the 95 % interval to a standard error, and from there to 99 %.
INTERVAL_IN_ERRORS = 2 * 1.96
ERRORS_FOR_CERTAINTY = 2.576
# Offsets are rounded to a tenth of a second, and intervals of few blocks are too narrow.
SMALLEST_ERROR_S = 0.2


def by_heart_rate(pair: Pair) -> ClockDecision | None:
    """A clock that is wrong by quarters of an hour, or by more than any sensor is late, or ahead.

    Anything else may be the sensor's delay as well as the clock's error, and is left.
    """
    if not pair.has_both or pair.too_seldom_s is not None:
        return None
    for found in (_paused(pair), _drifting(pair)):
        if found is not None:
            return found
    near = pair.as_recorded
    if pair.demands.met_by(near):
        return _by(pair, near.offset_s)
    gross_s = find_gross_shift(
        pair.reference, pair.device, pair.alignment.search_s, pair.longest_gap_s
    )
    if not gross_s:
        return None
    wrong = "The device's clock is"
    if pair.assumed_start:
        wrong = f"The device's clock, or {pair.assumed_start} start, which is assumed, is"
    why = (
        f"{wrong} wrong by {spoken(-gross_s)}, as after a mistaken time zone: only with that taken "
        "off do the heart rates agree."
    )
    rest = pair.searched(gross_s)
    finer = _by(pair, rest.offset_s) if pair.demands.met_by(rest) else None
    return pair.decided(
        Decision.ESTIMATED,
        f"{why} {finer.reason}" if finer else why,
        gross_s + (finer.offset_s if finer else 0.0),
        gross_shift_s=gross_s,
    )


def _by(pair: Pair, offset_s: float) -> ClockDecision | None:
    largest_lag_s = pair.alignment.largest_lag_s
    unsure_s = max(trace.spacing.unsure_s for trace in (pair.reference, pair.device))
    if -largest_lag_s - unsure_s <= offset_s <= LARGEST_LEAD_S + unsure_s:
        return None
    if pair.assumed_start:
        why = f"By heart rate {pair.clock_is(offset_s)}; it is set right by {shift(offset_s)}."
        return pair.decided(Decision.ESTIMATED, f"{why} {FLATTERING}", offset_s)
    what = (
        f"It shows what the heart does {offset_s:.1f} s before the strap, which no sensor can"
        if offset_s > 0
        else f"It is {-offset_s:.1f} s behind the strap, later than any sensor "
        f"(at most {largest_lag_s:g} s)"
    )
    why = f"{what}: its clock is set right by {shift(offset_s)}. {FLATTERING}"
    return pair.decided(Decision.ESTIMATED, why, offset_s)


def _paused(pair: Pair) -> ClockDecision | None:
    """A clock that jumps by what one of the files is shorter; before that it is moved only where
    `_by` would."""
    parts = pauses_left_out(pair)
    if not parts:
        return None
    before = _by(pair, parts[0].offset_s)
    lag_s = parts[0].offset_s - (before.offset_s if before else 0.0)
    parts = [replace(part, offset_s=round(part.offset_s - lag_s)) for part in parts]
    pauses = left_out(pair, parts)
    of_device = pauses[0].of_device
    own, other = ("device", "strap") if of_device else ("strap", "device")
    fits = "later" if of_device else "earlier"
    fitting = listed([f"{lasting(p.lasted_s)} {fits} from {clock(p.at_s)} on" for p in pauses])
    shorter = lasting(sum(pause.lasted_s for pause in pauses))
    why = (
        f"The {own}'s file is {shorter} shorter than the {other}'s, and its heart rate fits the "
        f"strap's {fitting}, as where a file leaves a pause out: {set_right(parts)}."
        f"{card_line(pair, parts, about=True)}"
    )
    return pair.decided(Decision.ESTIMATED, why, parts[0].offset_s, pieces=pieces_of(parts))


def _drifting(pair: Pair) -> ClockDecision | None:
    """A clock that gains or loses more over the session than a sensor's delay changes."""
    ours, theirs = pair.series()
    bounds = pair.alignment.search_s, pair.alignment.shortest_overlap_s
    drift = find_drift(ours, theirs, *bounds, pair.demands)
    if drift is None:
        return None
    middle_s = ours.size / 2
    offset_s = round(drift.offset_at(middle_s), 1)
    why = (
        f"The clocks drift by {shift(drift.per_hour_s)} an hour: the offset goes from "
        f"{shift(drift.first_s)} in the first third to {shift(drift.last_s)} in the last, "
        f"evenly. In the middle it is {shift(offset_s)}. {FLATTERING}"
    )
    return pair.decided(
        Decision.ESTIMATED,
        why,
        offset_s,
        drift_per_hour_s=round(drift.per_hour_s, 2),
        holds_at_s=float(pair.reference.time_s[0]) + middle_s - offset_s,
    )


@dataclass(frozen=True)
class DriftByThirds:
    """How the offset grew evenly: from the middle of a session's first third, `first_at_s` after
    its start, to that of the last, in s; and by how much in an hour."""

    first_s: float
    last_s: float
    first_at_s: float
    per_hour_s: float

    def offset_at(self, elapsed_s: float) -> float:
        """The offset to add so many seconds after the session's start, in s."""
        return self.first_s + self.per_hour_s / 3600 * (elapsed_s - self.first_at_s)


def find_drift(
    reference: np.ndarray,
    device: np.ndarray,
    search_s: int,
    shortest_overlap_s: float,
    demands: Demands,
) -> DriftByThirds | None:
    """Compare the offsets of the first and the last third; series as for `search_offset`.

    None for sessions under an hour, and where a third tells no offset, as also happens if the
    clocks drift so fast that they part by more than some 4 s within a third. The change must be
    beyond chance at 99 %, errors of the thirds adding as independent ones (common practice, no
    source), and larger than a sensor's delay differs from warm-up to cool-down. The middle third
    must lie on the line between the two, else the change may have been a jump.
    """
    third = reference.size // 3
    if reference.size < SHORTEST_S:
        return None
    parts = []
    for start in (0, third, 2 * third):
        ours = reference[start : start + third]
        theirs = device[start : start + third + 2 * search_s]
        found = search_offset(ours, theirs, search_s, shortest_overlap_s)
        if not demands.met_by(found):
            return None
        parts.append(found)
    first, middle, last = parts
    change = last.offset_s - first.offset_s
    reach = ERRORS_FOR_CERTAINTY * float(np.hypot(_error(first), _error(last)))
    if abs(change) <= max(reach, LARGEST_LEAD_S) or not _on_line(first, middle, last):
        return None
    return DriftByThirds(first.offset_s, last.offset_s, third / 2, change / (2 * third) * 3600)


def _on_line(first: OffsetSearch, middle: OffsetSearch, last: OffsetSearch) -> bool:
    aside = abs(middle.offset_s - (first.offset_s + last.offset_s) / 2)
    error = np.hypot(_error(middle), np.hypot(_error(first), _error(last)) / 2)
    return bool(aside <= ERRORS_FOR_CERTAINTY * error)


def _error(found: OffsetSearch) -> float:
    return max((found.high_s - found.low_s) / INTERVAL_IN_ERRORS, SMALLEST_ERROR_S)
