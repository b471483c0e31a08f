"""Files of one device whose clocks come out apart: its clock is one, so one of them is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.ground.vocabulary import Decision

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.intake import RecordingIntake

# What an offset found may be wrong by.
LARGEST_DIFFERENCE_S = 1.0
# By less no clock is moved, and the tester is not asked to do anything.
RIGHT_S = 3.0


def told_apart(
    reference: RecordingIntake,
    tested: Sequence[RecordingIntake],
    decisions: Sequence[ClockDecision],
) -> list[ClockDecision]:
    """The decisions on the recordings `tested`, in their order, with a word where two files of one
    device differ; the reference's own clock stands."""
    before = [(reference, 0.0)]
    told = []
    for entry, decision in zip(tested, decisions, strict=True):
        found_s = _found_s(decision)
        if found_s is not None:
            own = [(other, abs(found_s - s)) for other, s in before if _is_one_device(entry, other)]
            apart = [(other, by_s) for other, by_s in own if by_s > LARGEST_DIFFERENCE_S]
            decision = _with(decision, entry, *apart[0]) if apart else decision
            before.append((entry, found_s))
        told.append(decision)
    return told


def _with(
    decision: ClockDecision, entry: RecordingIntake, other: RecordingIntake, by_s: float
) -> ClockDecision:
    said = (
        f"It comes out {by_s:.1f} s apart from {other.recording}, another file of {entry.label}: "
        "one device has one clock, so one of the two files tells it wrong."
    )
    told = {"reason": f"{decision.reason} {said}", "apart": said if by_s > RIGHT_S else ""}
    return decision.model_copy(update=told)


def _found_s(decision: ClockDecision) -> float | None:
    """Where the heart rates agree, or else what was decided; None where neither tells anything."""
    if decision.estimate_s is not None and decision.estimate_accepted:
        return decision.estimate_s
    tells = decision.decision not in (Decision.COPY, Decision.REFUSED)
    return decision.offset_s if tells else None


def _is_one_device(one: RecordingIntake, other: RecordingIntake) -> bool:
    """Units told apart by their serial numbers are two; a file without one may be of either."""
    return one.device == other.device and (one.unit == other.unit or None in (one.unit, other.unit))
