"""A test plan in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from strapline.ground.words import counted, in_words, listed, plain
from strapline.method.planning.precision import HALF_WIDTHS, MOST
from strapline.method.planning.spread import ASSUMED, ASSUMPTION, FEWEST_FREEDOM
from strapline.method.planning.wants import WEEKS

if TYPE_CHECKING:
    from strapline.method.planning.cells import Cell
    from strapline.method.planning.outlook import Outlook
    from strapline.method.planning.schedule import Outing
    from strapline.method.planning.steps import Prospect, Step

Labels = Mapping[str, str]

KNOWN = {"bias": "bias", "limit": "limits of agreement"}
BARE = "bare"
# As many names as one reads in a sentence.
MOST_NAMED = 3
# Who knows a bias less closely than this knows little of a device, in bpm.
WIDEST = 10

NO_DEVICE = "There is no device to test yet: name your devices in config/devices.yaml."


def next_sentence(ahead: Outlook, labels: Labels) -> str:
    """'Next: Intervals, Watch one left, Band two right, worn by ada.'"""
    if not ahead.wanted.devices:
        return NO_DEVICE
    if not ahead.outings:
        return "Nothing is missing: every device has what was wanted at every activity."
    return f"Next: {worn(ahead.outings[0], labels)}."


def worn(outing: Outing, labels: Labels) -> str:
    """'Intervals, Watch one left, Band two right, Ring left finger, worn by ada'."""
    wrists = (("left", outing.left), ("right", outing.right))
    where = [(side, device) for side, device in wrists if device is not None]
    where += [(place_of(place), device) for device, place in outing.elsewhere]
    worn = [f"{name_of(device, labels)} {place}".rstrip() for place, device in where]
    wearer = [f"worn by {outing.wearer}"] if outing.wearer else []
    return ", ".join([in_words(outing.activity), *worn, *wearer])


def name_of(device: str | None, labels: Labels) -> str:
    return BARE if device is None else plain(labels.get(device, device))


def elsewhere(outing: Outing, labels: Labels) -> str:
    """'Ring left finger', or a dash."""
    worn = (f"{name_of(d, labels)} {place_of(place)}" for d, place in outing.elsewhere)
    return ", ".join(worn) or "–"


def place_of(placement: str) -> str:
    """'left upper arm'."""
    return placement.replace("_", " ")


def soon(ahead: Outlook, labels: Labels) -> str:
    """'With 4 sessions in the next 4 weeks you will have a first statement on Run (Watch one and
    Band two). The most useful comes first; ± is half the 95 % interval of a device's bias:'"""
    firsts: dict[str, list[str]] = {}
    for prospect in (p for step in ahead.steps for p in step.prospects if p.tends):
        name = name_of(prospect.cell.device, labels)
        firsts.setdefault(in_words(prospect.cell.activity), []).append(name)
    said = listed([f"{activity} ({listed(names)})" for activity, names in firsts.items()])
    gives = f"have a first statement on {said}" if said else "know more closely what devices do"
    order = "They come as in your week" if ahead.wanted.week else "The most useful comes first"
    return (
        f"With {counted(len(ahead.steps), 'session')} in the next {WEEKS} weeks you will {gives}. "
        f"{order}; ± is half the 95 % interval of a device’s {KNOWN[ahead.plan.know]}:"
    )


def apart(ahead: Outlook, labels: Labels) -> list[str]:
    """What it takes to tell devices apart, where that is within reach; the rest in a sentence."""
    named = [
        (
            pair,
            f"{name_of(pair.device_a, labels)} and {name_of(pair.device_b, labels)} "
            f"({in_words(pair.activity)})",
        )
        for pair in ahead.pairs
    ]
    lines = [
        f"To tell apart {name} takes about {pair.missing} more."
        for pair, name in named
        if not pair.out_of_reach
    ][:MOST_NAMED]
    far = [name for pair, name in named if pair.out_of_reach]
    if far:
        lines.append(f"Too alike to be told apart within a year: {_some(far)}.")
    return lines


def step(each: Step, ahead: Outlook, labels: Labels) -> str:
    """'Run, Watch one left, Band two right: Watch one to within ±4.1 bpm instead of ±9.8.'"""
    return f"{worn(each.outing, labels)}: {buys(each, ahead, labels)}."


def buys(each: Step, ahead: Outlook, labels: Labels) -> str:
    """'Watch one to within ±4.1 bpm instead of ±9.8': what it gives beside those before it."""
    fewest, enough = ahead.claims.tends.fewest_sessions, ahead.claims.does.fewest_sessions
    worth = [p for p in each.prospects if p.tends or not p.is_known]
    firsts = [
        f"{name_of(p.cell.device, labels)} ({half_width(p.half_width)} bpm)"
        for p in worth
        if p.tends
    ]
    said = [f"a first statement on {listed(firsts)}"] if firsts else []
    said += [_known(p, labels) for p in worth if p.sessions > fewest]
    # Of fewer sessions an interval is as wide as a heart rate's whole span.
    few: dict[int, list[str]] = {}
    for p in (p for p in worth if p.sessions < fewest):
        few.setdefault(p.sessions, []).append(name_of(p.cell.device, labels))
    if few:
        have = [f"{listed(n)} {'have' if n[1:] else 'has'} {c} of {fewest}" for c, n in few.items()]
        said.append(f"then {listed(have)} sessions")
    return "; ".join(said) or f"one nearer to the {enough} sessions that a firm statement takes"


def _known(prospect: Prospect, labels: Labels) -> str:
    name, after = name_of(prospect.cell.device, labels), half_width(prospect.half_width)
    before = "" if math.isnan(prospect.before) else f" instead of {half_width(prospect.before)}"
    return f"{name} to within {after} bpm{before}{', as wanted' if prospect.precise else ''}"


def out_of_reach(ahead: Outlook, labels: Labels) -> list[str]:
    """What a year at this pace does not give, once for all, and what would."""
    week, far = ahead.wanted.week, [cell for cell in ahead.cells if cell.out_of_reach]
    never = [name for name in ahead.wanted.activities if week and name not in week]
    said = []
    if never:
        said.append(
            f"plan.week in settings.yaml has no {listed([in_words(name) for name in never])}, so "
            "nothing is planned for it."
        )
    far = [cell for cell in far if cell.activity not in never]
    if far:
        names = [f"{name_of(cell.device, labels)} ({in_words(cell.activity)})" for cell in far]
        most = max(cell.missing for cell in far)
        takes = f"over {MOST}" if most > MOST else f"up to {most}" if len(far) > 1 else f"{most}"
        said.append(
            f"Out of reach within a year at this pace: {_some(names)}; {takes} more sessions. Ask "
            f"for less under plan in settings.yaml: fewer devices or activities"
            f"{_in_a_year(far, ahead)}."
        )
    return said


def _in_a_year(far: Sequence[Cell], ahead: Outlook) -> str:
    """The half-width that a year at this pace gives all of them, where that is worth planning."""
    of = HALF_WIDTHS[ahead.plan.know]
    sessions = ((cell, max(cell.sessions + int(cell.in_a_year), 2)) for cell in far)
    wide = math.ceil(max(of(cell.spread, n, ahead.plan.assurance) for cell, n in sessions))
    return f", or half_width_bpm: {wide}" if wide <= WIDEST else ""


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    shown = [*names[:MOST_NAMED], *([f"{more} more"] if more > 0 else [])]
    return listed(shown)


def state(cell: Cell) -> str:
    """'filled', '2 more', '2 more, on the right wrist'."""
    if not cell.missing:
        return "filled"
    text = f"over {MOST} more" if cell.needed > MOST else f"{cell.missing} more"
    if not cell.confounded:
        return text
    bare = [side for side, worn in (("left", cell.left), ("right", cell.right)) if not worn]
    return f"{text}, also on the {' and '.join(bare)} wrist"


def remarks(ahead: Outlook, labels: Labels) -> Iterator[str]:
    """What a tester should know of the plan before keeping to it."""
    does, plan = ahead.claims.does, ahead.plan
    tends = ahead.claims.tends
    yield (
        f"Wanted: each device’s {KNOWN[plan.know]} at each activity to within "
        f"±{plan.half_width_bpm:g} bpm (95 % interval), reached in {100 * plan.assurance:g} % of "
        f"tests if sessions differ as assumed; at least "
        f"{counted(does.fewest_sessions, 'session')}, {tends.fewest_sessions} of them on each "
        "wrist."
    )
    wearers = ahead.wanted.wearers
    if len(wearers) < does.fewest_wearers:
        who = f"{counted(len(wearers), 'wearer')}" if wearers else "no wearer"
        yield (
            f"The plan has {who}; to say what a device does on people in general takes "
            f"{does.fewest_wearers}. Name them under plan.wearers in settings.yaml."
        )
    if len(ahead.wanted.on_wrists) == 1:
        yield "With one device for the wrist the other wrist stays bare."
    confounded = {name_of(cell.device, labels) for cell in ahead.cells if cell.confounded}
    if confounded:
        yield (
            f"Not worn on both wrists yet at some activity: {listed(sorted(confounded))}. As long "
            "as that is so, nobody can say whether an error comes from the device or the wrist."
        )
    if any(cell.ground == ASSUMPTION for cell in ahead.cells):
        yield (
            "Where there are too few sessions to see how much they differ, the plan assumes it: "
            f"biases by a standard deviation of {math.sqrt(ASSUMED.of_biases):g} bpm, readings "
            f"within a session by {math.sqrt(ASSUMED.within):g} bpm. With {FEWEST_FREEDOM + 1} "
            "sessions of a device at an activity, it goes by these."
        )


def half_width(value: float) -> str:
    """'±2.1', or a dash."""
    return f"±{value:.1f}" if math.isfinite(value) else "–"
