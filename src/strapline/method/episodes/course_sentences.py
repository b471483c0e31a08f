"""The course of a session in sentences, in order of time."""

from __future__ import annotations

from collections.abc import Iterator

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock, lasting, number, reading, share
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.sentence_length import fits, in_sentences
from strapline.method.episodes.told import AT_AN_END_S, Told

# Shorter than this, what lies between two spans is no part of the course.
SHORTEST_BETWEEN_S = 30
LARGEST_SHARE_WRONG = 0.1


def course_sentences(told: Told) -> list[str]:
    """From start to end: where it followed, what it did off track and in it, where it came back."""
    if not told.main:
        return [f"It {_state(told, told.began_s, told.ended_s)} throughout."]
    sentences: list[str] = []
    reached = told.began_s
    for span in told.main:
        sentences += _up_to(told, reached, span)
        sentences += _events(told, span)
        reached = span.end_s
    if not told.throughout(told.main[-1]):
        sentences.append(_ending(told, reached))
    return sentences


def in_short(told: Told) -> str:
    """'44 bpm low from 3:00 to 13:00, spike at 6:10', as a title has it."""
    heaviest = sorted(told.main, key=lambda span: -span.duration_s)[:2]
    parts = [_short(told, span) for span in sorted(heaviest, key=lambda span: span.start_s)]
    highest = sorted(told.spikes, key=lambda spike: -abs(spike.peak_error_bpm))[:1]
    parts += [
        f"{kind(spike.kind).lane if spike.peak_error_bpm > 0 else 'dip'} at {clock(spike.start_s)}"
        for spike in highest
    ]
    if parts:
        return ", ".join(parts)
    if told.late:
        return f"slow to follow for {lasting(sum(span.duration_s for span in told.late))}"
    return "on track throughout"


def late_sentence(told: Told) -> Iterator[str]:
    """How often it was slow to follow, and for how long."""
    if told.late:
        total = sum(span.duration_s for span in told.late)
        size = max(abs(span.peak_error_bpm) for span in told.late)
        count = len(told.late)
        often = {1: "once", 2: "twice"}.get(count, f"{count} times")
        all_in = "" if len(told.late) == 1 else " in all"
        first = f", at {clock(told.late[0].start_s)}" if len(told.late) == 1 else ""
        yield (
            f"It was slow to follow {often}{first}, for {lasting(total)}{all_in}, "
            f"up to {number(size, decimals=0)} bpm off."
        )


def rest_sentences(told: Told) -> Iterator[str]:
    """What the course leaves out, each with its time: a kind after the other."""
    left = [span for span in told.rest if span.kind != Fault.SPIKE]
    yield from _by_kind("Apart from that, it", left)


def spike_sentences(told: Told) -> Iterator[str]:
    """Spikes outside the spans that the course tells."""
    alone = [span for span in told.rest if span.kind == Fault.SPIKE]
    yield from _spikes("It", alone)
    if alone:
        yield from _maximum(told, alone)


def _moment(told: Told, second: int, first: bool) -> str:
    into = " into the session" if first else ""
    return f"{clock(second)} ({share(second / told.length_s)}{into})"


def _state(told: Told, start: int, end: int) -> str:
    wrong, late = told.wrong_s(start, end)
    most = LARGEST_SHARE_WRONG * (end - start)
    if wrong > most:
        return "was on and off track"
    return "followed the strap, but late," if late > most else "followed the strap"


def _did(span: Episode) -> str:
    if span.in_step_percent == span.in_step_percent:
        side = "low" if span.in_step_percent < 0 else "high"
        return f"read {_percent(span)} % {side}, in step with the strap,"
    # Stuck, or late, it is low and high in turn, and on average neither.
    level = span.kind in (Fault.READS_LOW, Fault.READS_HIGH)
    off = span.mean_error_bpm if level else span.peak_error_bpm
    return kind(span.kind).phase.format(size=number(abs(off), decimals=0))


def _percent(span: Episode) -> str:
    return number(abs(span.in_step_percent), decimals=0)


def _up_to(told: Told, reached: int, span: Episode) -> list[str]:
    """How it was until `span`, and the span."""
    if told.throughout(span):
        return [_throughout(span)]
    did = f"{_did(span)} for {lasting(span.duration_s)}"
    between = span.start_s - reached
    at = _moment(told, span.start_s, first=reached == told.began_s)
    if between < SHORTEST_BETWEEN_S:
        return [
            f"From {'the start' if span.start_s <= told.began_s + AT_AN_END_S else at} it {did}."
        ]
    state = _state(told, reached, span.start_s)
    if reached == told.began_s:
        both = f"It {state} to {at}, then {did}."
        return [both] if fits(both) else [f"It {state} to {at}.", f"Then it {did}."]
    back = f"It came back at {_moment(told, reached, first=False)}"
    if state != "followed the strap":
        back += f" and {state.rstrip(',')}"
    both = f"{back}; from {at} it {did}."
    return [both] if fits(both) else [f"{back}.", f"From {at} it {did}."]


def _throughout(span: Episode) -> str:
    if span.in_step_percent == span.in_step_percent:
        side = "low" if span.in_step_percent < 0 else "high"
        return (
            f"It read {_percent(span)} % {side} from start to end, in step with the strap: each "
            f"peak and trough is there, too {side}."
        )
    return f"It {_did(span).rstrip(',')} from start to end."


def _ending(told: Told, reached: int) -> str:
    if told.ended_s - reached <= AT_AN_END_S:
        return "It did not come back before the end."
    at = _moment(told, reached, first=False)
    return f"It came back at {at} and {_state(told, reached, told.ended_s)} to the end."


def _events(told: Told, span: Episode) -> Iterator[str]:
    """What stands out within a span, the spikes first."""
    events = told.within(span)
    spikes = [event for event in events if event.kind == Fault.SPIKE]
    yield from _spikes("In that time it", spikes)
    yield from _maximum(told, spikes)
    yield from _by_kind("In that time it", [e for e in events if e.kind != Fault.SPIKE])


def _by_kind(subject: str, found: list[Episode]) -> Iterator[str]:
    """When it did what, a kind after the other."""
    for key in dict.fromkeys(one.kind for one in found):
        parts = [
            f"at {clock(one.start_s)} for {lasting(one.duration_s)}"
            for one in found
            if one.kind == key
        ]
        yield from in_sentences(f"{subject} {kind(key).did}", parts)


def _spikes(subject: str, spikes: list[Episode]) -> Iterator[str]:
    up = [spike for spike in spikes if spike.peak_error_bpm > 0]
    down = [spike for spike in spikes if spike.peak_error_bpm <= 0]
    yield from in_sentences(
        f"{subject} spiked",
        [
            f"to {reading(one.highest_bpm)} bpm at {clock(one.start_s)} for {one.duration_s} s"
            for one in up
        ],
    )
    yield from in_sentences(
        f"{subject} dropped",
        [
            f"by {number(abs(one.peak_error_bpm), decimals=0)} bpm at {clock(one.start_s)} "
            f"for {one.duration_s} s"
            for one in down
        ],
    )


def _maximum(told: Told, spikes: list[Episode]) -> Iterator[str]:
    """What a spike does to the maximum."""
    at, without = told.course["maximum_at_s"], told.course["maximum_without_spikes_bpm"]
    if any(spike.start_s <= at < spike.end_s for spike in spikes):
        which = "That spike is its maximum" if len(spikes) == 1 else "One of these is its maximum"
        alone = len(told.spikes) == 1
        yield f"{which}; without {'it' if alone else 'spikes'}, it peaked at {reading(without)}."


def _short(told: Told, span: Episode) -> str:
    size = number(abs(span.mean_error_bpm), decimals=0)
    side = kind(span.kind).lane
    if span.in_step_percent == span.in_step_percent:
        what = f"{_percent(span)} % {side}"
    elif span.kind in (Fault.READS_LOW, Fault.READS_HIGH):
        what = f"{size} bpm {side}"
    else:
        what = kind(span.kind).lane
    if told.throughout(span):
        return f"{what} from start to end"
    return f"{what} from {clock(span.start_s)} to {clock(span.end_s)}"
