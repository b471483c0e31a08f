"""The second evidence of a clock: that both heart rates stand in one file."""

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.method.signal.clocks.pair import Pair


def by_one_file(pair: Pair) -> ClockDecision | None:
    """One file has one clock, whatever sensors it tells of."""
    if not pair.entry.raw or pair.entry.raw != pair.reference_entry.raw:
        return None
    return ClockDecision(
        recording=pair.entry.recording,
        offset_s=0.0,
        decision=Decision.TRUSTED,
        ground="that of the strap",
        reason="It is from the same file as the reference, and so by the same clock.",
    )
