"""A pause that one of two files leaves out, told by heart rate alone; and as cards state pauses.

After it the device shows everything early, at once and by tens of seconds, which no sensor can; and
its file is shorter by as much. Only the two together tell a pause.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from strapline.ground.records.card import FILE_NAME
from strapline.ground.words import clock, listed
from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.channel_search import Twin
from strapline.method.signal.clocks.heart_rate_search import (
    LARGEST_LEAD_S,
    Demands,
    search_offset,
)
from strapline.method.signal.clocks.likeness import gather
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.clocks.pieces import UNSURE_S, Stretch, jump
from strapline.method.signal.grid import seconds_spanned
from strapline.method.signal.late_sensors import unexplained_bpm

SHORTEST_PAUSE_S, LONGEST_PAUSE_S = 12.0, 1800.0
# Files started and stopped by hand are as long as each other to within this, and half of a pause.
SAME_LENGTH_S = 20.0
# The seconds of full agreement that a jump must gain.
COST_OF_A_JUMP = 60.0
# A jump lies so near to where blocks of a minute put it.
AROUND_S = 150.0
# A part need not be told to the second, but as one of the heart's course.
SHORTEST_PART_S = 120.0
# What a jump leaves unexplained is less than this share of what the nearest sensor leaves without.
LESS = 0.9
DEMANDS = Demands(largest_doubt_s=8, lowest_closeness=0.5)
# A moment told no better than this is none to state; a clock stated to be right may be so far off.
LARGEST_DOUBT_S, RIGHT_S = 2 * UNSURE_S, 3.0


def pauses_left_out(pair: Pair) -> list[Stretch]:
    """The parts between the pauses that one of the two files leaves out, each with the offset at
    which its heart rates agree; empty where no pause is told.

    Blocks of a minute are put to offsets that only grow, or only fall where the strap's file is the
    shorter one, so that they agree best with as few jumps as pay. The jumps must sum up to what one
    file is shorter by, and every part must tell its own offset. The rule is our own.
    """
    if not pair.shares_time:
        return []
    ours, theirs = pair.reference, pair.device
    shorter_s = (ours.ends_s - ours.begins_s) - (theirs.ends_s - theirs.begins_s)
    if not SHORTEST_PAUSE_S <= abs(shorter_s) <= LONGEST_PAUSE_S:
        return []
    parts = [found for part in _parts(pair, shorter_s) if (found := _told(pair, part)) is not None]
    if not _is_pause([part.offset_s for part in parts], shorter_s, pair.alignment.largest_lag_s):
        return []
    if not all(_is_needed(pair, one, other) for one, other in pairwise(parts)):
        return []
    channels = (Channel(each.time_s, each.rate) for each in (ours, theirs))
    rates = [Twin("heart_rate_bpm", *channels)]
    edges = []
    for one, other in pairwise(parts):
        around_s = AROUND_S + abs(other.offset_s - one.offset_s)
        window = one.end_s - around_s, other.start_s + around_s
        edges.append(jump(rates, *window, one.offset_s, other.offset_s))
    starts, ends = [-np.inf, *(last for _, last in edges)], [*(first for first, _ in edges), np.inf]
    return [
        Stretch(start, end, part.offset_s)
        for start, end, part in zip(starts, ends, parts, strict=True)
    ]


def _is_pause(offsets: list[float], shorter_s: float, largest_lag_s: float) -> bool:
    """Whether no sensor explains the jumps, and they are what one file is shorter by."""
    if len(offsets) < 2:
        return False
    step_s = offsets[-1] - offsets[0]
    explained = -largest_lag_s <= offsets[-1] <= LARGEST_LEAD_S
    apart_s = abs(step_s - shorter_s)
    return not explained and apart_s <= min(SAME_LENGTH_S, abs(step_s) / 2)


def _is_needed(pair: Pair, one: Stretch, other: Stretch) -> bool:
    """Whether what comes after the jump fits a sensor that is late, or shows a share of changes, so
    much better with the jump than without."""
    seconds = seconds_spanned(pair.reference.time_s)
    ours = pair.reference.at(seconds, pair.longest_gap_s)
    resumed = pair.device.time_s >= other.start_s - other.offset_s
    with_jump, without = (
        unexplained_bpm(
            ours,
            pair.device.shifted(np.where(resumed, offset_s, np.nan)).at(
                seconds, pair.longest_gap_s
            ),
        )
        for offset_s in (other.offset_s, one.offset_s)
    )
    return not with_jump >= LESS * without


def _parts(pair: Pair, shorter_s: float) -> list[Stretch]:
    """The stretches of one offset, to the minute and the second."""
    seconds = seconds_spanned(pair.reference.time_s)
    low = round(min(shorter_s, 0.0) - pair.alignment.largest_lag_s)
    high = round(max(shorter_s, 0.0) + SAME_LENGTH_S)
    wider = np.arange(seconds[0] - high, seconds[-1] - low + 1)
    evidence = gather(
        pair.reference.at(seconds, pair.longest_gap_s), pair.device.at(wider, pair.longest_gap_s)
    )
    # Chance agrees too: only what is beyond it counts, and a second without a value for nothing.
    by_chance = evidence.agreed.sum() / max(float(evidence.compared.sum()), 1.0)
    gained = evidence.agreed - by_chance * evidence.compared
    offsets = np.arange(high, low - 1, -1)
    if shorter_s > 0:
        gained, offsets = gained[:, ::-1], offsets[::-1]
    path = _onward(gained)
    edges = np.concatenate([[0], np.flatnonzero(np.diff(path)) + 1, [path.size]])
    block_s = seconds.size / path.size
    for start, end in pairwise(edges[1:].tolist()):
        # What the device shows is there once: it may not agree before the pause and after it.
        before, after = path[start - 1], path[start]
        pause = round(max(offsets[after] - offsets[before], 0) / block_s)
        more = gained[start + pause : end, after].sum() - gained[start:end, before].sum()
        if more < COST_OF_A_JUMP:
            return []
    at = (seconds[0] + edges * block_s).tolist()
    return [
        Stretch(start, end, float(offsets[path[place]]))
        for (start, end), place in zip(pairwise(at), edges, strict=False)
    ]


def _onward(gained: np.ndarray) -> np.ndarray:
    """The column of each row, never an earlier one than before, that gain most together, a change
    at a cost."""
    stay = np.arange(gained.shape[1])
    total, came = gained[0], []
    for row in gained[1:]:
        best = np.maximum.accumulate(total)
        before = np.maximum.accumulate(np.where(total >= best, stay, 0))
        jumps = best - COST_OF_A_JUMP > total
        came.append(np.where(jumps, before, stay))
        total = np.where(jumps, best - COST_OF_A_JUMP, total) + row
    path = [int(np.argmax(total))]
    for before in reversed(came):
        path.append(int(before[path[-1]]))
    return np.array(path[::-1])


def _told(pair: Pair, part: Stretch) -> Stretch | None:
    """The part with the offset at which its heart rates agree best; None where it tells none."""
    if part.end_s - part.start_s < SHORTEST_PART_S:
        return None
    seconds = np.arange(np.ceil(part.start_s), part.end_s)
    search_s = pair.alignment.search_s
    wider = np.arange(seconds[0] - search_s, seconds[-1] + search_s + 1) - part.offset_s
    found = search_offset(
        pair.reference.at(seconds, pair.longest_gap_s),
        pair.device.at(wider, pair.longest_gap_s),
        search_s,
        pair.alignment.shortest_overlap_s,
    )
    if not DEMANDS.met_by(found):
        return None
    return replace(part, offset_s=part.offset_s + found.offset_s)


@dataclass(frozen=True)
class LeftOut:
    """A pause that the device's file leaves out, or the strap's: so long after the file's first
    value, to within `doubt_s`, it goes on."""

    of_device: bool
    at_s: float
    lasted_s: float
    doubt_s: float


def left_out(pair: Pair, parts: Sequence[Stretch]) -> list[LeftOut]:
    """The pauses between the parts of a session that each tell an offset."""
    return [_between(pair, *each) for each in pairwise(parts)]


def card_line(pair: Pair, parts: Sequence[Stretch], about: bool = False) -> str:
    """' If you paused it there, state pauses: [{at: 12:40, lasted: 3:10}] under the device's clock
    in session.yaml.'; empty where parts of the session, or the moments, are not known well enough
    to state. `about`: nothing but heart rate tells the clock's offset beside them."""
    pauses = left_out(pair, parts)
    ends_s = parts[0].start_s, parts[-1].end_s
    if not pauses or max(abs(one.doubt_s) for one in pauses) > LARGEST_DOUBT_S:
        return ""
    if any(abs(end_s) < float("inf") for end_s in ends_s):
        return ""
    lines = []
    offset_s = parts[0].offset_s
    for of_device, whose in ((True, "device"), (False, "strap")):
        own = [one for one in pauses if one.of_device == of_device]
        stated = [f"{{at: {clock(p.at_s)}, lasted: {clock(p.lasted_s)}}}" for p in own]
        facts = [f"pauses: [{', '.join(stated)}]"] if own else []
        if of_device and abs(offset_s) > RIGHT_S:
            facts = [f"offset_s: {offset_s:g}", *(["about: true"] if about else []), *facts]
        if facts:
            lines.append(f"{listed(facts)} under the {whose}'s clock")
    return f" If you paused it there, state {listed(lines)} in {FILE_NAME}."


def _between(pair: Pair, one: Stretch, other: Stretch) -> LeftOut:
    step_s = other.offset_s - one.offset_s
    paused_s = max(step_s, 0.0)
    moment_s = (one.end_s + other.start_s - paused_s) / 2
    began_s = one.offset_s + pair.device.begins_s if step_s > 0 else pair.reference.begins_s
    doubt_s = (other.start_s - one.end_s - paused_s) / 2
    return LeftOut(step_s > 0, moment_s - began_s, abs(step_s), doubt_s)
