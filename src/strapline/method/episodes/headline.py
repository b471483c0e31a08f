"""What a title says of a device in a session."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock, lasting, number
from strapline.method.episodes.course_sentences import (
    LATE_S,
    LOWER,
    all_along,
    grown,
    percent,
    where,
)
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.event_sentences import in_title
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.told import Told, weight

MOST_IN_SHORT = 2


def in_short(told: Told, has_room: Callable[[str], bool] = lambda text: True) -> str:
    """'44 bpm low from 3:00 to 13:00, spike at 6:10', as a title has it: what weighs most, of that
    as much as there is room for."""
    late_s = sum(span.duration_s for span in told.late)
    named = [
        *([(told.late, f"{told.late_as} for {lasting(late_s)}{told.by_either}")] if late_s else []),
        *((group.spans, in_title(told, group)) for group in told.often),
        *(((span,), span_in_short(told, span)) for span in told.main),
    ]
    heaviest = sorted(named, key=lambda one: -sum(map(weight, one[0])))[:MOST_IN_SHORT]
    up, down = told.spikes
    jumps = _jumps(kind(Fault.SPIKE).lane, "highest", up, lambda spike: spike.highest_bpm)
    jumps += _jumps("dip", "deepest", down, lambda dip: -dip.peak_error_bpm)
    if not heaviest and not jumps:
        return f"on track {where(told)}{_behind(told)}"
    while not has_room(", ".join([*_in_turn(heaviest), *jumps])) and len(heaviest) + len(jumps) > 1:
        (jumps or heaviest).pop()
    return ", ".join([*_in_turn(heaviest), *jumps])


def _in_turn(named: Sequence[tuple[Sequence[Episode], str]]) -> list[str]:
    """In order of time where each is one span, else of weight."""
    if all(len(spans) == 1 for spans, _ in named):
        named = sorted(named, key=lambda one: one[0][0].start_s)
    return [text for _, text in named]


def _jumps(
    name: str, most: str, jumps: Sequence[Episode], size: Callable[[Episode], float]
) -> list[str]:
    """'spike at 6:10', '3 spikes, the highest at 6:10'."""
    if not jumps:
        return []
    at = clock(max(jumps, key=size).start_s)
    return [f"{name} at {at}" if len(jumps) == 1 else f"{len(jumps)} {name}s, the {most} at {at}"]


def _behind(told: Told) -> str:
    delay_s = told.course["delay_s"]
    if not abs(delay_s) >= LATE_S:
        return ""
    side = "behind" if delay_s > 0 else "ahead of"
    return f", {number(abs(delay_s), decimals=0)} s {side} the strap"


def span_in_short(told: Told, span: Episode) -> str:
    """'44 bpm low from 3:00 to 13:00'."""
    size = number(abs(span.mean_error_bpm), decimals=0)
    side = kind(span.kind).lane
    if span.drifts:
        from_s, to_s = clock(int(span.drift_from_s)), clock(span.end_s)
        more = f"{LOWER[side]} and {LOWER[side]}"
        return f"{more} from {from_s}, {grown(span)[1]} bpm {side} at {to_s}"
    if span.in_step_percent == span.in_step_percent:
        what = f"{percent(span)} % {side}"
    elif span.is_level:
        what = f"{size} bpm {side}"
    else:
        what = kind(span.kind).titled
    if told.throughout(span):
        return f"{what} {all_along(told)}"
    return f"{what} from {clock(span.start_s)} to {clock(span.end_s)}"
