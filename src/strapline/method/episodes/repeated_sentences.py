"""What came again and again in sentences: how often, how long, how large, and when."""

from __future__ import annotations

from collections.abc import Iterator

from strapline.ground.words import clock, lasting, number
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.sentence_length import in_sentences
from strapline.method.episodes.told import Repeated


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


def in_title(group: Repeated) -> str:
    """'25 to 35 bpm low 7 times from 4:25 to 16:46'."""
    what = kind(group.kind).titled
    if group.worst.is_level:
        what = f"{_bpm(group)} {kind(group.kind).lane}"
    return f"{what} {len(group.spans)} times from {clock(group.start_s)} to {clock(group.end_s)}"


def _sizes(group: Repeated) -> str:
    if group.worst.is_level:
        return f"{_bpm(group)} {kind(group.kind).lane} on average"
    return f"up to {number(max(abs(s.peak_error_bpm) for s in group.spans), decimals=0)} bpm off"


def _bpm(group: Repeated) -> str:
    sizes = [abs(span.mean_error_bpm) for span in group.spans]
    smallest, largest = (f"{number(f(sizes), decimals=0)} bpm" for f in (min, max))
    return _from_to(smallest, largest)


def _from_to(low: str, high: str) -> str:
    """'48 to 55 s', '48 s to 1 min', '50 s'."""
    if low == high:
        return low
    (figure, *unit), (_, *other) = low.split(" "), high.split(" ")
    return f"{figure} to {high}" if unit == other else f"{low} to {high}"
