"""Clocks that are a time zone apart where only one of the two files states UTC.

Then the zone by which the other's local times are read is in doubt, and no clock is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.ground.records.card import FILE_NAME
from strapline.ground.vocabulary import Decision, FileClock
from strapline.ground.words import listed, shift
from strapline.method.signal.clocks.quarters import QUARTER_HOUR_S, spoken

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.intake import RecordingIntake
    from strapline.method.signal.clocks.pair import Pair

# A clock that was set by hand is off by no more than this besides.
BESIDE_S = 60.0


def with_zone_doubts(
    pairs: Sequence[Pair], decisions: Sequence[ClockDecision]
) -> list[ClockDecision]:
    """The decisions, where one moves UTC against local times or the reverse with the zone in doubt
    in place of the device's clock."""
    return [_told(pairs, decisions, place) for place in range(len(pairs))]


def in_doubt(ours: RecordingIntake, theirs: RecordingIntake) -> RecordingIntake | None:
    """The one of two that has local times, where the other states UTC."""
    local = [entry for entry in (ours, theirs) if entry.clock == FileClock.LOCAL]
    certain = any(entry.clock == FileClock.UTC for entry in (ours, theirs))
    return local[0] if certain and local else None


def _told(pairs: Sequence[Pair], decisions: Sequence[ClockDecision], place: int) -> ClockDecision:
    decision, entry = decisions[place], pairs[place].entry
    reference = pairs[place].reference_entry
    local = in_doubt(reference, entry)
    if not _quarters_s(decision) or local is None:
        return decision
    entries = [reference, *(pair.entry for pair in pairs)]
    # Where each file is by the strap's clock.
    ahead_s = [0, *(-_quarters_s(one) for one in decisions)]
    at_s = dict(zip((one.recording for one in entries), ahead_s, strict=True))
    alike = [
        one.label
        for one in entries
        if (one.clock, one.clock_note.time_zone) == (local.clock, local.clock_note.time_zone)
        and at_s[one.recording] == at_s[local.recording]
    ]
    certain = reference if local is entry else entry
    by_s = at_s[local.recording] - at_s[certain.recording]
    apart = f"{spoken(abs(by_s)).lstrip('+')} {'ahead of' if by_s > 0 else 'behind'}"
    files = f"files of {listed(alike)} give" if len(alike) > 1 else f"file of {alike[0]} gives"
    doubt = (
        f"The {files} times without a zone, {apart} that of {certain.label}, which states UTC: is "
        f"time_zone: {local.clock_note.time_zone or 'UTC'} in config/settings.yaml right?"
    )
    if len(alike) == 1:
        doubt += (
            " If it is right for others, write clock: {time_zone: Europe/London}, with its own "
            f"zone, beside this one in {FILE_NAME}."
        )
    moved = f"To compare them, the times of {entry.label} are moved by {shift(decision.offset_s)}."
    return decision.model_copy(update={"zone_in_doubt": doubt, "reason": f"{doubt} {moved}"})


def _quarters_s(decision: ClockDecision) -> int:
    """By how many quarters of an hour a file's times are moved, in s; 0 where the card says so, or
    they are moved by anything else."""
    quarters_s = round(decision.offset_s / QUARTER_HOUR_S) * QUARTER_HOUR_S
    is_found = decision.decision in (Decision.CHANNELS, Decision.ESTIMATED)
    return quarters_s if is_found and abs(decision.offset_s - quarters_s) <= BESIDE_S else 0
