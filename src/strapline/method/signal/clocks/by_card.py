"""The first evidence of a clock: what the tester says."""

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.ground.words import shift
from strapline.method.signal.clocks.by_channels import by_channels
from strapline.method.signal.clocks.pair import Pair

BY_CARD = "as the card says"


def by_card(pair: Pair) -> ClockDecision | None:
    """What the session card states of the clock; a coarse offset is refined by what both files
    measured, if that can tell."""
    note, other = pair.entry.clock_note, pair.reference_entry.clock_note
    name = pair.entry.recording
    if note.offset_s is not None or other.offset_s is not None:
        stated = (note.offset_s or 0.0) - (other.offset_s or 0.0)
        why = f"The session card states an offset of {shift(stated)}."
        if note.about or other.about:
            finer = by_channels(pair)
            if finer and abs(finer.offset_s - stated) <= pair.alignment.search_s:
                return finer
            why = f"The session card states an offset of about {shift(stated)}."
            return _stated(name, stated, why, ground="")
        return _stated(name, stated, why)
    if note.trusted:
        why = "The session card trusts this clock."
        return ClockDecision(
            recording=name, offset_s=0.0, decision=Decision.TRUSTED, reason=why, ground=BY_CARD
        )
    if pair.marked_s is not None:
        why = f"The moment marked in both files meets after shifting by {shift(pair.marked_s)}."
        return _stated(name, pair.marked_s, why)
    return None


def _stated(name: str, offset_s: float, why: str, ground: str = BY_CARD) -> ClockDecision:
    return ClockDecision(
        recording=name, offset_s=offset_s, decision=Decision.STATED, reason=why, ground=ground
    )
