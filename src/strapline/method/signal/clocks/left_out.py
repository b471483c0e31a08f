"""Pauses that a file leaves out, as the session card states them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from strapline.ground.records.card import FILE_NAME
from strapline.ground.words import clock, listed
from strapline.method.signal.clocks.pieces import UNSURE_S

if TYPE_CHECKING:
    from strapline.method.signal.clocks.pair import Pair
    from strapline.method.signal.clocks.pieces import Stretch

# A moment told no better than this is none to state; a clock stated to be right may be so far off.
LARGEST_DOUBT_S, RIGHT_S = 2 * UNSURE_S, 3.0


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
