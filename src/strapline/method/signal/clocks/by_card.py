"""The first evidence of a clock: what the tester says."""

from strapline.ground.records.alignment import ClockDecision, Piece
from strapline.ground.vocabulary import Decision
from strapline.ground.words import counted, shift
from strapline.method.signal.clocks.by_channels import by_channels
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.pieces import UNSURE_S

BY_CARD = "as the card says"


def by_card(pair: Pair) -> ClockDecision | None:
    """What the session card states of the clock, and of pauses that the files leave out."""
    known, pieces = _of_clock(pair), _between_pauses(pair)
    if not pieces:
        return known
    name, said = pair.entry.recording, known.reason if known else ""
    offset_s = known.offset_s if known else 0.0
    why = f"{said} The session card states {counted(len(pieces) - 1, 'pause')} left out.".strip()
    moved = tuple(p.model_copy(update={"offset_s": offset_s + p.offset_s}) for p in pieces)
    return _stated(name, offset_s, why).model_copy(update={"pieces": moved})


def _between_pauses(pair: Pair) -> list[Piece]:
    """The parts that pauses leave of the device's recording, where there are any, and what they
    are moved by."""
    pauses = [(pair.device.begins_s, p, 1) for p in pair.entry.clock_note.pauses]
    pauses += [(pair.reference.begins_s, p, -1) for p in pair.reference_entry.clock_note.pauses]
    pieces: list[Piece] = []
    start_s, moved_s = None, 0.0
    for began_s, pause, side in sorted(pauses, key=lambda each: each[0] + each[1].at):
        # The strap's clock has gone on by what the device left out before.
        at_s = began_s + pause.at - (moved_s if side < 0 else 0.0)
        pieces.append(Piece(from_s=start_s, until_s=at_s - UNSURE_S, offset_s=moved_s))
        start_s = at_s + UNSURE_S + (pause.lasted if side < 0 else 0.0)
        moved_s += side * pause.lasted
    return [*pieces, Piece(from_s=start_s, until_s=None, offset_s=moved_s)] if pieces else []


def _of_clock(pair: Pair) -> ClockDecision | None:
    """A coarse offset is refined by what both files measured, if that can tell."""
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
