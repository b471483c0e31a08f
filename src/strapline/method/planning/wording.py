"""A test plan in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from strapline.ground.words import counted, in_words, listed, plain
from strapline.method.planning.outlook import Outlook
from strapline.method.planning.precision import MOST
from strapline.method.planning.schedule import MOST_AHEAD
from strapline.method.planning.spread import ASSUMED, ASSUMPTION, FEWEST_FREEDOM

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan
    from strapline.method.planning.cells import Cell

KNOWN = {"bias": "bias", "limit": "limits of agreement"}
BARE = "bare"


NO_DEVICE = "There is no device to test yet: name your devices in config/devices.yaml."


def next_sentence(ahead: Outlook, labels: Mapping[str, str]) -> str:
    """'Next: Intervals, Watch one left, Band two right, worn by ada.'"""
    if not ahead.wanted.devices:
        return NO_DEVICE
    if not ahead.outings:
        return "Nothing is missing: every device has what was wanted at every activity."
    outing = ahead.outings[0]
    sides = [
        f"{name_of(device, labels)} {side}"
        for side, device in (("left", outing.left), ("right", outing.right))
        if device is not None
    ]
    wearer = [f"worn by {outing.wearer}"] if outing.wearer else []
    return f"Next: {', '.join([in_words(outing.activity), *sides, *wearer])}."


def planned(ahead: Outlook) -> str:
    """How many sessions are to come: '8 sessions'."""
    count = counted(len(ahead.outings), "session")
    return f"{count} or more" if len(ahead.outings) == MOST_AHEAD else count


def name_of(device: str | None, labels: Mapping[str, str]) -> str:
    return BARE if device is None else plain(labels.get(device, device))


def state(cell: Cell) -> str:
    """'filled', '2 more', and that wrist and device cannot be told apart where that is so."""
    if cell.needed > MOST:
        text = f"over {MOST} in all"
    else:
        text = f"{cell.missing} more" if cell.missing else "filled"
    return f"{text}, confounded" if cell.confounded else text


def remarks(ahead: Outlook, plan: Plan, claims: Claims, labels: Mapping[str, str]) -> list[str]:
    """What a tester should know of the plan before keeping to it."""
    does, tends = claims.does, claims.tends
    found = [
        f"Wanted: each device’s {KNOWN[plan.know]} at each activity to within "
        f"±{plan.half_width_bpm:g} bpm (95 % interval), reached in {100 * plan.assurance:g} % of "
        f"tests if the spread is as planned; at least {counted(does.fewest_sessions, 'session')}, "
        f"{tends.fewest_sessions} of them on each wrist."
    ]
    wearers = ahead.wanted.wearers
    if len(wearers) < does.fewest_wearers:
        who = f"{counted(len(wearers), 'wearer')}" if wearers else "no wearer"
        found.append(
            f"The plan has {who}; to say what a device does on people in general, "
            f"{does.fewest_wearers} are asked for. Name them under plan.wearers in settings.yaml."
        )
    if len(ahead.wanted.devices) == 1:
        found.append("With one device the other wrist stays bare.")
    confounded = [cell for cell in ahead.cells if cell.confounded]
    if confounded:
        names = sorted({name_of(cell.device, labels) for cell in confounded})
        found.append(
            f"Worn on one wrist only so far at some activity: {listed(names)}. Device and wrist "
            "cannot be told apart there."
        )
    if any(cell.ground == ASSUMPTION for cell in ahead.cells):
        found.append(
            "Where the archive has too few sessions, the spread is our own assumption: biases of "
            f"sessions differ by a standard deviation of {math.sqrt(ASSUMED.of_biases):g} bpm, "
            f"readings within a session by {math.sqrt(ASSUMED.within):g}."
        )
    if any(cell.sessions <= FEWEST_FREEDOM for cell in ahead.cells):
        found.append(
            "The plan settles as sessions come in: until a device has "
            f"{FEWEST_FREEDOM + 1} sessions at an activity, it is planned by what others vary by."
        )
    return found


def half_width(value: float) -> str:
    """'±2.1', or a dash."""
    return f"±{value:.1f}" if math.isfinite(value) else "–"
