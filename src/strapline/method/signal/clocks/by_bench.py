"""Evidence of a clock: another device of the session that has its time from the same source."""

from collections.abc import Sequence

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Decision, TimeSource
from strapline.ground.words import shift
from strapline.method.signal.clocks.pair import Pair

# What settles a clock well enough to settle another by it.
SURE = (Decision.STATED, Decision.TRUSTED, Decision.CHANNELS, Decision.SATELLITES)
# Of devices that set their clocks alone, each has its own.
SHARED = (TimeSource.PHONE, TimeSource.SATELLITE)

# A recording, its offset and to within how many seconds that is right.
Settled = tuple[RecordingIntake, float, float]


def by_bench(pair: Pair, settled: Sequence[Settled]) -> ClockDecision | None:
    """The offset of the first of the `settled` recordings whose clock has the same source; the
    reference's own is 0. What the register expects of clocks moves none by itself."""
    source = pair.entry.time_from
    if source not in SHARED:
        return None
    alike = [found for found in settled if found[0].time_from == source]
    if not alike:
        return None
    other, offset_s, within_s = alike[0]
    how = f"is set right by {shift(offset_s)} like it" if offset_s else "is right like it"
    why = f"Its clock and that of {other.label} are set by the same {source}: it {how}."
    ground = f"set by the same {source} as another"
    return pair.decided(Decision.BENCH, why, offset_s, ground=ground, within_s=within_s)


def settled_by(pairs: Sequence[Pair], decisions: Sequence[ClockDecision]) -> list[Settled]:
    """The recordings whose clocks are sure, the reference first, with their offsets and how sure
    these are. Where its start is assumed, it is not among them, nor is what no measure ties to
    it."""
    ours = [pairs[0].reference_entry] if pairs else []
    found = [(entry, 0.0, 0.0) for entry in ours if not entry.start_is_open]
    decided = [
        (pair.entry, one.offset_s, one.within_s)
        for pair, one in zip(pairs, decisions, strict=True)
        if one.decision in SURE and (one.ground or not one.assumed_start)
    ]
    return found + decided
