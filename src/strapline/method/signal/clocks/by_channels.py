"""Evidence of a clock: speed, cadence or power that both files measured."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from strapline.ground.records.alignment import ClockDecision, offsets_in
from strapline.ground.vocabulary import Decision
from strapline.ground.words import listed, shift
from strapline.method.signal.clocks.averaging import later_s
from strapline.method.signal.clocks.channel_drift import EvenDrift, even_drift
from strapline.method.signal.clocks.channel_search import SHORTEST_S, Twin, accepted_of, agreed
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.pauses import card_line, pauses_left_out
from strapline.method.signal.clocks.pieces import (
    LARGEST_STEP_S,
    Stretch,
    parted_by_s,
    pieces_of,
    put_back,
    set_right,
    stretches,
    windows,
)

# Filters of sensors part two right clocks by up to this, and satellite times by up to the second.
FILTERS_S, SATELLITES_S = 3.0, 5.0
NAMES = {"speed_m_s": "speed", "cadence_per_min": "cadence", "power_w": "power"}


def by_channels(pair: Pair) -> ClockDecision | None:
    """An offset by what both files measured; one that filters of sensors could explain is none.

    Channels that quarrel decide nothing. A clock that changes within the session is set right piece
    by piece, as far as each piece is told.
    """
    both = _both(pair)
    found = windows(both)
    unsure_s = max((twin.unsure_s for twin in both), default=0.0)
    parted = parted_by_s(found) > LARGEST_STEP_S + unsure_s
    known = stretches(both, found) if parted else []
    drift = even_drift(both, found, unsure_s)
    if drift is not None and not _jumps_rather(both, known, drift):
        return _drifting(pair, drift, _by(both))
    if parted:
        return _jumping(pair, known, _by(both)) if known else _stepping(pair, parted_by_s(found))
    accepted = accepted_of(both)
    offset_s = agreed(twin.offset for twin in accepted if twin.offset)
    if offset_s is None:
        return None
    if known := _between_pauses(pair, accepted, offset_s):
        return _jumping(pair, known, _by(accepted))
    # What agrees over the whole session may not in ten minutes of it.
    if all(twin.longest_apart_s(offset_s) >= SHORTEST_S for twin in accepted):
        return _stepping(pair, abs(offset_s))
    later = [later_s(twin) for twin in accepted]
    return _set(pair, offset_s, _by(accepted), min(later)[0], max(most for _, most in later))


def why_not(pair: Pair) -> str:
    """'Cadence in both files hardly varied'; empty where they measured nothing in common."""
    both = _both(pair)
    steady = [twin for twin in both if not twin.varies]
    unsure = [twin for twin in both if twin.varies]
    parts = [f"{_by(steady)} in both files hardly varied"] if steady else []
    if unsure:
        parts.append(f"{_by(unsure)} in both files {'tell' if unsure[1:] else 'tells'} no offset")
    return listed(parts).capitalize()


def _both(pair: Pair) -> list[Twin]:
    ours, theirs = pair.reference_channels, pair.channels
    return [Twin(name, ours[name], theirs[name]) for name in NAMES if name in ours.keys() & theirs]


def _jumps_rather(both: Sequence[Twin], known: Sequence[Stretch], drift: EvenDrift) -> bool:
    """Whether the two files agree better with jumps put back than without the drift, over what lies
    between the jumps."""
    if len(known) < 2:
        return False
    pieces = pieces_of(known)
    jumping, drifting = [], []
    for twin in both:
        within = twin.theirs.where(np.isfinite(offsets_in(pieces, twin.theirs.time_s)))
        jumping.append(twin.by(put_back(twin.theirs, pieces)).best_correlation)
        drifting.append(twin.by(drift.taken_out(within)).best_correlation)
    return max(jumping) > max(drifting)


def _between_pauses(pair: Pair, both: Sequence[Twin], offset_s: float) -> list[Stretch]:
    """The parts between pauses that heart rate tells, where the longest of them tells this offset,
    and all agree better in what both measured with the pauses put back."""
    parts = pauses_left_out(pair)
    if not parts:
        return []
    first_s, last_s = pair.reference.begins_s, pair.reference.ends_s
    longest = max(parts, key=lambda one: min(one.end_s, last_s) - max(one.start_s, first_s))
    moved = [replace(one, offset_s=one.offset_s - longest.offset_s + offset_s) for one in parts]
    pieces = pieces_of(moved)
    better = (
        twin.by(put_back(twin.theirs, pieces)).best_correlation > twin.best_correlation
        for twin in both
    )
    return moved if all(better) else []


def _jumping(pair: Pair, known: Sequence[Stretch], by: str) -> ClockDecision:
    why = (
        f"By {by} in both files its clock jumps in the middle of the session, as where a file "
        f"leaves pauses out: {set_right(known)}.{card_line(pair, known)}"
    )
    return _decision(pair, round(known[0].offset_s, 1), why, by, pieces=pieces_of(known))


def _drifting(pair: Pair, drift: EvenDrift, by: str) -> ClockDecision:
    offset_s = round(drift.offset_s, 1)
    why = (
        f"By {by} in both files its clock drifts by {shift(drift.per_hour_s)} an hour, evenly; it "
        f"is set right by {shift(offset_s)} in the middle, and by the line through that."
    )
    line = {"drift_per_hour_s": round(drift.per_hour_s, 2), "holds_at_s": drift.at_s - offset_s}
    return _decision(pair, offset_s, why, by, **line)


def _set(pair: Pair, found_s: float, by: str, least_s: float, most_s: float) -> ClockDecision:
    """`least_s` to `most_s`: by how much the device may be later for what it averages."""
    satellites = pair.entry.satellite and pair.reference_entry.satellite
    usual_s = SATELLITES_S if satellites else FILTERS_S
    low_s, high_s = found_s + least_s, found_s + most_s
    right = low_s <= usual_s and high_s >= -usual_s
    offset_s, half_s = (low_s + high_s) / 2, (most_s - least_s) / 2
    within_s = math.ceil(max(usual_s, abs(low_s), abs(high_s)) if right else FILTERS_S + half_s)
    if right:
        how = "as filters of sensors differ"
        if abs(found_s) > usual_s:
            how += f"; one of the two may average over {2 * max(most_s, -least_s) + 1:.0f} s"
        why = (
            f"By {by} in both files its clock is right to within {within_s:g} s "
            f"({shift(found_s)}, {how})."
        )
    else:
        why = (
            f"By {by} in both files {pair.clock_is(offset_s)}; it is set right by "
            f"{shift(offset_s)}."
        )
    return _decision(pair, 0.0 if right else round(offset_s, 1), why, by, within_s)


def _decision(
    pair: Pair, offset_s: float, why: str, by: str, within_s: float = FILTERS_S, **more: Any
) -> ClockDecision:
    ground = f"right to within {within_s:g} s, by {by}"
    return pair.decided(Decision.CHANNELS, why, offset_s, ground=ground, within_s=within_s, **more)


def _by(twins: Iterable[Twin]) -> str:
    return listed([NAMES[twin.name] for twin in twins])


def _stepping(pair: Pair, by_s: float) -> ClockDecision:
    why = (
        f"Its clock and the strap's part in the middle of the session, by up to {by_s:.0f} s: one "
        "of the two files leaves pauses out, or its clock drifts. No single offset is right, so "
        "nothing is compared. Record without automatic pauses, or put what comes before and after "
        "the pause in sessions of their own."
    )
    return pair.decided(Decision.STEPPING, why)
