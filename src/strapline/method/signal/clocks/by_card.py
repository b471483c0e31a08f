"""The evidence of a clock that goes before all others: what the tester says."""

from collections.abc import Sequence
from dataclasses import replace

from strapline.ground.records.alignment import ClockDecision, Piece, offsets_in
from strapline.ground.vocabulary import Decision
from strapline.ground.words import counted, shift
from strapline.method.signal.clocks.by_channels import by_channels
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.pieces import UNSURE_S, put_back

BY_CARD = "as the card says"


def by_card(pair: Pair) -> ClockDecision | None:
    """What the session card states of the clock, and of pauses that the files leave out; with these
    put back, what both files measured tells the clock if the card does not."""
    pieces = _between_pauses(pair)
    if not pieces:
        return _of_clock(pair)
    whole = _put_back(pair, pieces)
    found = _of_clock(whole) or by_channels(whole)
    if found and (found.decision == Decision.STEPPING or found.pieces or found.drift_per_hour_s):
        found = None
    offset_s = found.offset_s if found else 0.0
    said = f"The session card states {counted(len(pieces) - 1, 'pause')} left out."
    return pair.decided(
        Decision.STATED,
        f"{said} {found.reason}" if found else said,
        offset_s,
        ground=found.ground if found else "",
        within_s=found.within_s if found else 0.0,
        pieces=tuple(p.model_copy(update={"offset_s": offset_s + p.offset_s}) for p in pieces),
    )


def _put_back(pair: Pair, pieces: Sequence[Piece]) -> Pair:
    """With the pauses in the device's file."""
    channels = {name: put_back(channel, pieces) for name, channel in pair.channels.items()}
    device = pair.device.shifted(offsets_in(pieces, pair.device.time_s))
    return replace(pair, device=device, channels=channels)


def _between_pauses(pair: Pair) -> list[Piece]:
    """The parts that pauses leave of the device's recording, where there are any, and what they
    are moved by besides its clock's offset."""
    pauses = [(pair.device.begins_s, p, 1) for p in pair.entry.clock_note.pauses]
    began_s = pair.reference.begins_s - (_stated_s(pair) or 0.0)
    pauses += [(began_s, p, -1) for p in pair.reference_entry.clock_note.pauses]
    pieces: list[Piece] = []
    start_s, moved_s = None, 0.0
    for began_s, pause, side in sorted(pauses, key=lambda each: each[0] + each[1].at):
        # The strap's clock has gone on by what the device left out before.
        at_s = began_s + pause.at - (moved_s if side < 0 else 0.0)
        pieces.append(Piece(from_s=start_s, until_s=at_s - UNSURE_S, offset_s=moved_s))
        start_s = at_s + UNSURE_S + (pause.lasted if side < 0 else 0.0)
        moved_s += side * pause.lasted
    return [*pieces, Piece(from_s=start_s, until_s=None, offset_s=moved_s)] if pieces else []


def _stated_s(pair: Pair) -> float | None:
    ours, theirs = pair.reference_entry.clock_note.offset_s, pair.entry.clock_note.offset_s
    return None if ours is None and theirs is None else (theirs or 0.0) - (ours or 0.0)


def _of_clock(pair: Pair) -> ClockDecision | None:
    """A coarse offset is refined by what both files measured, if that can tell."""
    note, other = pair.entry.clock_note, pair.reference_entry.clock_note
    if (stated := _stated_s(pair)) is not None:
        why = f"The session card states an offset of {shift(stated)}."
        if note.about or other.about:
            finer = by_channels(pair)
            if finer and abs(finer.offset_s - stated) <= pair.alignment.search_s:
                return finer
            why = f"The session card states an offset of about {shift(stated)}."
            return pair.decided(Decision.STATED, why, stated)
        return pair.decided(Decision.STATED, why, stated, ground=BY_CARD)
    if note.trusted:
        why = "The session card trusts this clock."
        if pair.reference_entry.start_is_open:
            return pair.decided(Decision.TRUSTED, f"{why} The strap’s start is assumed.")
        return pair.decided(Decision.TRUSTED, why, ground=BY_CARD)
    if pair.marked_s is not None:
        why = f"The moment marked in both files meets after shifting by {shift(pair.marked_s)}."
        return pair.decided(Decision.STATED, why, pair.marked_s, ground=BY_CARD)
    return None
