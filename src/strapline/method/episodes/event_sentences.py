"""What stands out within a span, what came again and again, what the course leaves out, and
spikes, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from strapline.ground.vocabulary import Fault
from strapline.ground.words import clock, lasting, number, reading, share
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.spoken import in_sentences
from strapline.method.episodes.told import Repeated, Told, up_and_down

APART = "Apart from that, it"
# By so much a maximum is above the strap's before it is said where it comes from.
HIGHER_BPM = 5.0


def rest_sentences(told: Told) -> Iterator[str]:
    """What the course leaves out, each with its time: a kind after the other."""
    left = [span for span in told.rest if span.kind != Fault.SPIKE]
    yield from _by_kind(APART, left)


def spike_sentences(told: Told) -> Iterator[str]:
    """Spikes outside the spans that the course tells."""
    alone = [span for span in told.rest if span.kind == Fault.SPIKE]
    yield from _spikes("It", alone)
    yield from _maximum(told, alone)


def maximum_sentence(told: Told) -> Iterator[str]:
    """What other fault its maximum lies in, where that is above the strap’s."""
    at, course = told.course["maximum_at_s"], told.course
    if course["maximum_device_bpm"] - course["maximum_reference_bpm"] < HIGHER_BPM:
        return
    there = [one for one in (*told.events, *told.spans) if one.start_s <= at < one.end_s]
    everywhere = there and (told.throughout(there[0]) or told.mostly)
    if there and not everywhere and there[0].kind not in (Fault.SPIKE, Fault.SLOW_TO_FOLLOW):
        did = kind(there[0].kind).did
        yield f"Its maximum came while it {did}, at {clock(at)}."


def events_within(told: Told, span: Episode) -> Iterator[str]:
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
        yield from in_sentences(f"{subject} {kind(key).did}", parts, "It did so again")
        subject = "It also"


def _spikes(subject: str, spikes: list[Episode]) -> Iterator[str]:
    up, down = up_and_down(spikes)
    yield from in_sentences(
        f"{subject} spiked",
        [
            f"to {reading(one.highest_bpm)} bpm at {clock(one.start_s)} for {one.duration_s} s"
            for one in up
        ],
        "It did so again,",
    )
    also = "It also" if up and subject != "It" else subject
    yield from in_sentences(
        f"{also} dropped",
        [
            f"by {number(abs(one.peak_error_bpm), decimals=0)} bpm at {clock(one.start_s)} "
            f"for {one.duration_s} s"
            for one in down
        ],
        "It did so again,",
    )


def _maximum(told: Told, spikes: list[Episode]) -> Iterator[str]:
    """What a spike does to the maximum."""
    at, without = told.course["maximum_at_s"], told.course["maximum_without_spikes_bpm"]
    up, every = up_and_down(spikes)[0], told.spikes[0]
    for highest in (spike for spike in up if spike.start_s <= at < spike.end_s):
        which = "That spike" if len(spikes) == 1 else f"The spike at {clock(highest.start_s)}"
        them = "it" if len(every) == 1 else "spikes"
        yield f"{which} is its maximum; without {them}, it peaked at {reading(without)}."


def mostly(told: Told, group: Repeated) -> str:
    """'8 bpm high for 87 % of the session'."""
    size = number(abs(group.mean_error_bpm), decimals=0)
    lane = kind(group.kind).lane
    return f"{size} bpm {lane} for {share(group.total_s / told.length_s)} of the session"


def often(group: Repeated) -> str:
    """'read low 7 times'."""
    return f"{kind(group.kind).did} {len(group.spans)} times"


def each_sentences(group: Repeated) -> Iterator[str]:
    """How long and how large they were, which was the worst, and when each began."""
    shortest, longest = (f(span.duration_s for span in group.spans) for f in (min, max))
    worst = "worst" if kind(group.kind).has_error else "longest"
    size = f", {_sizes(group)}" if kind(group.kind).has_error else ""
    yield (
        f"Each lasted {_from_to(lasting(shortest), lasting(longest))}{size}; the {worst} began at "
        f"{clock(group.worst.start_s)}."
    )
    starts = [clock(span.start_s) for span in group.spans]
    yield from in_sentences("They began at", starts, "Then at")


def _sizes(group: Repeated) -> str:
    if group.worst.is_level:
        return f"{bpm_range(group)} {kind(group.kind).lane} on average"
    return f"up to {number(max(abs(s.peak_error_bpm) for s in group.spans), decimals=0)} bpm off"


def bpm_range(group: Repeated) -> str:
    """'25 to 35 bpm', '30 bpm'."""
    sizes = [abs(span.mean_error_bpm) for span in group.spans]
    smallest, largest = (f"{number(f(sizes), decimals=0)} bpm" for f in (min, max))
    return _from_to(smallest, largest)


def _from_to(low: str, high: str) -> str:
    """'48 to 55 s', '48 s to 1 min', '50 s'."""
    if low == high:
        return low
    (figure, *unit), (_, *other) = low.split(" "), high.split(" ")
    return f"{figure} to {high}" if unit == other else f"{low} to {high}"
