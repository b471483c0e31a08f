"""Whether an estimated clock offset may be applied, and the sentence that says so."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np

from strapline.session.alignment import ClockDecision
from strapline.signal.clock_offset import OffsetSearch, search_offset
from strapline.signal.grid import seconds_spanned

if TYPE_CHECKING:
    from strapline.session.intake import RecordingIntake
    from strapline.settings import Alignment
    from strapline.signal.trace import Trace

QUARTER_HOUR_S = 900


def decide(
    reference: Trace,
    device: Trace,
    reference_entry: RecordingIntake,
    entry: RecordingIntake,
    alignment: Alignment,
    longest_gap_s: float,
) -> ClockDecision:
    """The card's word if it has one; else the estimate, if it is unambiguous; else nothing."""
    note = entry.clock_note
    stated = (note.offset_s or 0.0) - (reference_entry.clock_note.offset_s or 0.0)
    if note.offset_s is not None or reference_entry.clock_note.offset_s is not None:
        why = f"The session card states an offset of {_signed(stated)} s."
        return _decision(entry, stated, "stated", why)
    if note.trusted:
        return _decision(entry, 0.0, "trusted", "The session card trusts this clock.")
    if (apart := _apart(reference, device)) is not None:
        return _decision(entry, 0.0, "refused", apart)
    seconds = seconds_spanned(reference.time_s)
    wider = np.arange(seconds[0] - alignment.search_s, seconds[-1] + alignment.search_s + 1)
    found = search_offset(
        reference.at(seconds, longest_gap_s),
        device.at(wider, longest_gap_s),
        alignment.search_s,
        alignment.shortest_overlap_s,
    )
    return _judged(entry, found, alignment)


def copied(entry: RecordingIntake) -> ClockDecision:
    """For a recording that is the reference's own signal."""
    why = (
        f"{entry.file} reads the same as the reference nearly throughout: it recorded the strap's "
        "signal, not a sensor of its own, and is no evidence. Unpair strap and device before the "
        "next session; if you know better, state own_sensor: true in the session card."
    )
    return _decision(entry, 0.0, "copy", why)


def _judged(
    entry: RecordingIntake, found: OffsetSearch | None, alignment: Alignment
) -> ClockDecision:
    if found is None:
        why = (
            f"Fewer than {alignment.shortest_overlap_s:g} s of changing heart rate in common: "
            "too little to tell an offset. The clocks stand."
        )
        return _decision(entry, 0.0, "refused", why)
    objection = _objection(found, alignment)
    if objection:
        why = f"{objection} The clocks stand."
        return _decision(entry, 0.0, "refused", why, found)
    why = (
        f"Changes in heart rate agree best after shifting by {_signed(found.offset_s)} s "
        f"(correlation {found.correlation:.2f}, {found.lead:.2f} above the next best)."
    )
    return _decision(entry, round(found.offset_s, 1) + 0.0, "estimated", why, found)


def _objection(found: OffsetSearch, alignment: Alignment) -> str | None:
    if found.at_edge:
        return f"The best offset lies at the end of the ±{alignment.search_s} s searched."
    if found.correlation < alignment.lowest_correlation:
        return (
            f"At no offset do the changes in heart rate agree well (best correlation "
            f"{found.correlation:.2f}, at least {alignment.lowest_correlation:g} is asked)."
        )
    if found.lead < alignment.smallest_lead:
        return (
            f"Two offsets fit almost equally well ({_signed(found.offset_s)} s leads by "
            f"{found.lead:.2f}, at least {alignment.smallest_lead:g} is asked)."
        )
    return None


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
            "estimate_s": found and round(found.offset_s, 3) + 0.0,
            "correlation": found and round(found.correlation, 4),
            "lead": found and round(found.lead, 4),
        }
    )


def _signed(seconds: float) -> str:
    rounded = round(seconds, 1) + 0.0  # never a negative zero
    return f"{rounded:+.1f}".replace("-", "−")


def _span(time_s: np.ndarray) -> str:
    first, last = (dt.datetime.fromtimestamp(float(t), dt.UTC) for t in (time_s[0], time_s[-1]))
    return f"{first:%Y-%m-%d %H:%M}–{last:%H:%M} UTC"
