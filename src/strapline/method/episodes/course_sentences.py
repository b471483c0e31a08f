"""The course of a session in sentences, in order of time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from strapline.ground.words import clock, lasting, number, share, times
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.event_sentences import (
    APART,
    each_sentences,
    events_within,
    mostly,
    often,
)
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.spoken import fits, in_sentences
from strapline.method.episodes.told import AT_AN_END_S, Told
from strapline.method.signal.spans import Span

# Shorter than this, what lies between two spans is no part of the course.
SHORTEST_BETWEEN_S = 30
LARGEST_SHARE_WRONG = 0.1
FOLLOWED = "followed the strap"
# A device that runs so far behind throughout does not simply follow.
LATE_S = 5
LOWER = {"low": "lower", "high": "higher"}


def course_sentences(told: Told) -> Iterator[str]:
    """From start to end: where it followed, what it did off track and in it, where it came back."""
    if told.main:
        yield from _one_by_one(told)
        for group in told.often:
            if group == told.mostly:
                yield f"{APART} read {mostly(told, group)}."
                continue
            yield f"{APART} {often(group)}, from {clock(group.start_s)} to {clock(group.end_s)}."
            yield from each_sentences(group)
    elif told.often:
        yield from _again_and_again(told)
    else:
        state = _state(told, (told.began_s, told.ended_s))
        nearly = "nearly " if told.spans and state == FOLLOWED else ""
        yield f"It {state} {nearly}{where(told)}."


def late_sentence(told: Told) -> Iterator[str]:
    """How often it was late, and for how long."""
    if told.late:
        total = sum(span.duration_s for span in told.late)
        size = max(abs(span.peak_error_bpm) for span in told.late)
        count = len(told.late)
        all_in = "" if count == 1 else " in all"
        first = f", at {clock(told.late[0].start_s)}" if count == 1 else ""
        yield (
            f"It was late {times(count)}{first}{told.by_either}, for {lasting(total)}{all_in}, "
            f"up to {number(size, decimals=0)} bpm off."
        )


def _moment(told: Told, second: int, first: bool) -> str:
    into = " into the session" if first else ""
    return f"{clock(second)} ({share(second / told.length_s)}{into})"


def _one_by_one(told: Told) -> Iterator[str]:
    reached, between = told.began_s, []
    for span in told.main:
        yield from _up_to(told, reached, span)
        yield from _right_at_first(span)
        yield from events_within(told, span)
        between.append((reached, span.start_s))
        reached = span.end_s
    last = told.main[-1]
    if not told.throughout(last) and not (last.drifts and told.to_the_end(last)):
        # How it was before the first of them is said where that is told.
        yield from _ending(told, reached, between[1:])


def _again_and_again(told: Told) -> Iterator[str]:
    """The course of a device whose faults are all repeated."""
    for place, group in enumerate(told.often):
        to = _moment(told, group.end_s, first=False)
        if group == told.mostly:
            yield from _first(told, group.start_s, f"read {mostly(told, group)}, until {to}")
            continue
        if place:
            yield f"{APART} {often(group)}, from {clock(group.start_s)} to {to}."
        else:
            yield from _first(told, group.start_s, f"{often(group)}, the last time until {to}")
        yield from each_sentences(group)
    spans = sorted((s.start_s, s.end_s) for group in told.often for s in group.spans)
    between = [(end, start) for (_, end), (start, _) in pairwise(spans)]
    yield from _ending(told, spans[-1][1], between)


def where(told: Told) -> str:
    if not told.throughout_compared:
        return "wherever it could be compared"
    if told.throughout_recorded:
        return "throughout"
    late, early = told.began_s > AT_AN_END_S, told.length_s - told.ended_s > AT_AN_END_S
    if late and early:
        return "for as long as it recorded"
    if late:
        return f"from {clock(told.began_s)} on, where its recording began"
    return _to_the_end(told)


def _to_the_end(told: Told) -> str:
    if told.length_s - told.ended_s <= AT_AN_END_S:
        return "to the end"
    return f"to {clock(told.ended_s)}, where its recording ended"


def all_along(told: Told) -> str:
    return where(told).replace("throughout", "from start to end")


def _state(told: Told, *stretches: Span) -> str:
    wrong, late = told.wrong_s(stretches)
    most = LARGEST_SHARE_WRONG * sum(end - start for start, end in stretches)
    if wrong > most:
        return "was on and off track"
    if late > most or told.course["delay_s"] >= LATE_S:
        return f"{FOLLOWED}, but late,"
    return f"{FOLLOWED}, at times late," if late else FOLLOWED


def _did(span: Episode) -> str:
    if span.in_step_percent == span.in_step_percent:
        side = "low" if span.in_step_percent < 0 else "high"
        return f"read {percent(span)} % {side}, in step with the strap,"
    if span.was_right:
        return kind(span.kind).did
    # Stuck, or late, it is low and high in turn, and on average neither.
    off = span.mean_error_bpm if span.is_level else span.peak_error_bpm
    return kind(span.kind).phase.format(size=number(abs(off), decimals=0))


def _right_at_first(span: Episode) -> Iterator[str]:
    """Until when a value that it kept was right."""
    if span.was_right:
        size = number(abs(span.peak_error_bpm), decimals=0)
        until = clock(span.off_from_s)
        yield f"Until {until} that was right; from then on it was up to {size} bpm off."


def percent(span: Episode) -> str:
    return number(abs(span.in_step_percent), decimals=0)


def _up_to(told: Told, reached: int, span: Episode) -> Iterator[str]:
    """How it was until `span`, and the span."""
    if span.drifts:
        yield from _drifted(told, reached, span)
        return
    if told.throughout(span):
        yield _throughout(told, span)
        return
    begins = span is told.main[0] and span.start_s <= told.soon_s
    to = _moment(told, span.end_s, first=begins)
    is_last = span is told.main[-1]
    until = f"for {lasting(span.duration_s)}" if is_last else f"until {to}"
    if span is told.main[0]:
        yield from _first(told, span.start_s, f"{_did(span)} {until}")
    else:
        at = _moment(told, span.start_s, first=False)
        yield (
            f"From {at} it {_did(span)} {until}."
            if is_last
            else (f"From {at} to {to} it {_did(span).rstrip(',')}.")
        )


def _first(told: Told, start_s: int, did: str) -> Iterator[str]:
    """How it was until it did the first thing that is told of it."""
    if start_s <= told.soon_s:
        yield f"From the start it {did}."
        return
    at = _moment(told, start_s, first=True)
    if start_s - told.began_s < SHORTEST_BETWEEN_S:
        yield f"From {at} it {did}."
        return
    both = f"It {_state(told, (told.began_s, start_s))} to {at}, then {did}."
    yield from [both] if fits(both) else [f"{both.split(', then')[0]}.", f"Then it {did}."]


def _drifted(told: Told, reached: int, span: Episode) -> Iterator[str]:
    """How its error grew, and from when on it was off track for that."""
    start_s, is_first = int(span.drift_from_s), span is told.main[0]
    end = "the end" if told.to_the_end(span) else clock(span.end_s)
    from_bpm, to_bpm = grown(span)
    more = f"{LOWER[_side(span)]} and {LOWER[_side(span)]}"
    size = f"from {from_bpm} to {to_bpm} bpm {_side(span)} at {end}"
    at = "the start" if start_s <= told.soon_s else _moment(told, start_s, first=is_first)
    if start_s < reached:
        yield f"{APART} read {more} from {at} on, {size}."
    elif is_first and start_s - told.began_s >= SHORTEST_BETWEEN_S:
        yield f"It {_state(told, (told.began_s, start_s))} to {at}."
        yield f"From then on it read {more}, {size}."
    else:
        yield f"From {at} it read {more}, {size}."
    if span.start_s - start_s >= SHORTEST_BETWEEN_S:
        before = [
            f"from {clock(one.start_s)} to {clock(one.end_s)}" for one in told.grown_past(span)
        ]
        from_then = f"from {_moment(told, span.start_s, first=False)} on"
        yield from in_sentences("It was off track", [*before, from_then], "And again")


def grown(span: Episode) -> tuple[str, str]:
    """How far off it was where the drift began, to that side, and at its end."""
    sign = 1 if span.drift_to_bpm > 0 else -1
    low, high = (max(sign * end, 0.0) for end in (span.drift_from_bpm, span.drift_to_bpm))
    return number(low, decimals=0), number(high, decimals=0)


def _side(span: Episode) -> str:
    return "low" if span.mean_error_bpm < 0 else "high"


def _throughout(told: Told, span: Episode) -> str:
    along = all_along(told)
    if span.in_step_percent == span.in_step_percent:
        side = "low" if span.in_step_percent < 0 else "high"
        return (
            f"It read {percent(span)} % {side} {along}, in step with the strap: each "
            f"peak and trough is there, too {side}."
        )
    return f"It {_did(span)} {along}."


def _ending(told: Told, reached: int, between: list[Span]) -> Iterator[str]:
    """How it was between what is told, if not as one would think, and after that."""
    long = [each for each in between if each[1] - each[0] >= SHORTEST_BETWEEN_S]
    meanwhile = _state(told, *long) if long else FOLLOWED
    at_the_end = told.ended_s - reached <= AT_AN_END_S
    state = _state(told, (reached, told.ended_s))
    as_before = not at_the_end and meanwhile == state
    if meanwhile != FOLLOWED and not as_before:
        yield f"In between it {meanwhile.rstrip(',')}."
    if reached >= told.ended_s:
        yield "That lasted to the end of its recording."
    else:
        at = _moment(told, reached, first=not between and told.main[0].start_s <= told.soon_s)
        too = ", as in between," if as_before and state != FOLLOWED else ""
        yield f"It came back at {at} and{too} {state} {_to_the_end(told)}."
