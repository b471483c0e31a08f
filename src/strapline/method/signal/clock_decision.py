"""Whether an estimated clock offset may be applied, and the sentence that says so."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.method.signal.clock_drift import Drift, find_drift
from strapline.method.signal.clock_offset import (
    Demands,
    OffsetSearch,
    objection,
    search_offset,
    signed,
)
from strapline.method.signal.grid import seconds_spanned
from strapline.method.signal.gross_offset import GrossShift, find_gross_shift

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake
    from strapline.ground.settings import Alignment
    from strapline.method.signal.trace import Trace

QUARTER_HOUR_S = 900
STAND = "The clocks stand."


def decide(
    reference: Trace,
    device: Trace,
    reference_entry: RecordingIntake,
    entry: RecordingIntake,
    alignment: Alignment,
    longest_gap_s: float,
    marked_s: float | None = None,
) -> ClockDecision:
    """The card's word if it has one; else the estimate, if it is unambiguous; else nothing.

    `marked_s` is the offset by which the moments that the card marks in both files meet. Where
    the clocks as they stand tell no offset, one wrong by quarters of an hour is looked
    for, and the offset after that.
    """
    note = entry.clock_note
    stated = (note.offset_s or 0.0) - (reference_entry.clock_note.offset_s or 0.0)
    if note.offset_s is not None or reference_entry.clock_note.offset_s is not None:
        why = f"The session card states an offset of {signed(stated)} s."
        return _decision(entry, stated, Decision.STATED, why)
    if note.trusted:
        return _decision(entry, 0.0, Decision.TRUSTED, "The session card trusts this clock.")
    if marked_s is not None:
        why = f"The moment marked in both files meets after shifting by {signed(marked_s)} s."
        return _decision(entry, marked_s, Decision.STATED, why)
    if (why_not := _untellable(reference, device, longest_gap_s)) is not None:
        return _decision(entry, 0.0, Decision.REFUSED, why_not)
    judged = _judged(entry, reference, device, alignment, longest_gap_s)
    if judged.decision == Decision.ESTIMATED:
        return judged
    gross = find_gross_shift(reference, device, alignment.search_s, longest_gap_s)
    if gross.shift_s:
        shifted = device.shifted(gross.shift_s)
        return _shifted(_judged(entry, reference, shifted, alignment, longest_gap_s), gross)
    apart = _apart(reference, device)
    return judged if apart is None else _decision(entry, 0.0, Decision.REFUSED, apart)


def copied(entry: RecordingIntake) -> ClockDecision:
    """For a recording that is the reference's own signal."""
    why = (
        f"It reads the same as the reference nearly throughout: {entry.recording} recorded the "
        "strap's signal, not a sensor of its own, and is no evidence. Unpair strap and device "
        "before the next session; if you know better, state own_sensor: true in the session card."
    )
    return _decision(entry, 0.0, Decision.COPY, why)


def _untellable(reference: Trace, device: Trace, longest_gap_s: float) -> str | None:
    """Why no search can be made at all, or None."""
    if device.time_s.size == 0:
        return "None of its readings can be used."
    if reference.time_s.size == 0:
        return f"No reading of the reference is believed: nothing to tell an offset by. {STAND}"
    interval_s = max(reference.interval_s, device.interval_s)
    if interval_s > longest_gap_s:
        return f"Reports come only every {interval_s:.0f} s: too seldom to tell an offset. {STAND}"
    return None


def _judged(
    entry: RecordingIntake,
    reference: Trace,
    device: Trace,
    alignment: Alignment,
    longest_gap_s: float,
) -> ClockDecision:
    """The offset between these two traces, if it may be applied."""
    seconds = seconds_spanned(reference.time_s)
    if seconds.size == 0:
        return _decision(entry, 0.0, Decision.REFUSED, "The reference is shorter than a second.")
    wider = np.arange(seconds[0] - alignment.search_s, seconds[-1] + alignment.search_s + 1)
    series = reference.at(seconds, longest_gap_s), device.at(wider, longest_gap_s)
    bounds = alignment.search_s, alignment.shortest_overlap_s
    demands = Demands(
        alignment.largest_doubt_s, alignment.lowest_closeness, alignment.smallest_lead
    )
    found = search_offset(*series, *bounds)
    drift = find_drift(*series, *bounds, demands)
    if drift is not None and drift.shown:
        return _drifting(entry, seconds, drift, found)
    if found is None:
        why = (
            f"Fewer than {alignment.shortest_overlap_s:g} s of changing heart rate in common: "
            f"too little to tell an offset. {STAND}"
        )
        return _decision(entry, 0.0, Decision.REFUSED, why)
    against = objection(found, demands, alignment.search_s)
    if against:
        return _decision(entry, 0.0, Decision.REFUSED, f"{against} {STAND}", found)
    why = (
        f"The heart rates agree best after shifting by {signed(found.offset_s)} s (95 % interval "
        f"{signed(found.low_s)} to {signed(found.high_s)} s; within 2 bpm in "
        f"{100 * found.closeness:.0f} % of the seconds not plainly apart)."
    )
    if drift is not None:
        why = f"{why} {drift.reason}"
    return _decision(entry, found.offset_s, Decision.ESTIMATED, why, found)


def _drifting(
    entry: RecordingIntake, seconds: np.ndarray, drift: Drift, found: OffsetSearch | None
) -> ClockDecision:
    """The offset in the middle of the session, and how it grows."""
    middle = (seconds[0] + seconds[-1]) / 2
    offset_s = round(float(drift.offsets(middle - seconds[0])), 1)
    why = f"{drift.reason} In the middle it is {signed(offset_s)} s."
    decided = _decision(entry, offset_s, Decision.ESTIMATED, why, found)
    return decided.model_copy(
        update={
            "drift_per_hour_s": round(drift.per_hour_s, 2),
            "holds_at_s": float(middle) - offset_s,
        }
    )


def _shifted(judged: ClockDecision, gross: GrossShift) -> ClockDecision:
    """A decision made after the clock was set right by quarters of an hour, in all."""
    fine = judged.reason.replace(STAND, "No finer offset is applied.")
    return judged.model_copy(
        update={
            "offset_s": judged.offset_s + gross.shift_s,
            "decision": Decision.ESTIMATED,
            "gross_shift_s": gross.shift_s,
            "holds_at_s": judged.holds_at_s - gross.shift_s,
            "reason": f"{gross.reason} After that: {fine}",
        }
    )


def _apart(reference: Trace, device: Trace) -> str | None:
    """A sentence if the two recordings share no time, with the shift that would mend it."""
    ours, theirs = reference.time_s, device.time_s
    if theirs[0] <= ours[-1] and theirs[-1] >= ours[0]:
        return None
    quarters = round((ours[0] - theirs[0]) / QUARTER_HOUR_S)
    remainder = abs(ours[0] - theirs[0] - quarters * QUARTER_HOUR_S)
    shift = quarters * QUARTER_HOUR_S
    hint = (
        f" Its clock looks wrong by {abs(quarters) * 15} min: if so, state clock.offset_s: "
        f"{shift} in the session card."
        if remainder <= QUARTER_HOUR_S / 3
        else ""
    )
    return (
        f"The recordings share no time: the device's runs {_span(theirs)}, the reference's "
        f"{_span(ours)}.{hint}"
    )


def _decision(
    entry: RecordingIntake,
    offset_s: float,
    decision: str,
    reason: str,
    found: OffsetSearch | None = None,
) -> ClockDecision:
    return ClockDecision.model_validate(
        {
            "recording": entry.recording,
            "offset_s": offset_s,
            "decision": decision,
            "reason": reason,
            "estimate_s": found and found.offset_s,
            "low_s": found and found.low_s,
            "high_s": found and found.high_s,
            "closeness": found and round(found.closeness, 4),
            "lead": found and round(found.lead, 4),
        }
    )


def _span(time_s: np.ndarray) -> str:
    first, last = (dt.datetime.fromtimestamp(float(t), dt.UTC) for t in (time_s[0], time_s[-1]))
    return f"{first:%Y-%m-%d %H:%M}–{last:%H:%M} UTC"
