"""A clock that jumps within a session, as where a file leaves pauses out.

Told by what both files measured besides heart rate. Ten minutes at a time tell an offset each;
where these part, they are put together to stretches of one offset.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strapline.ground.records.alignment import Piece, offsets_in
from strapline.ground.words import listed, shift
from strapline.method.signal.clocks.channel import LONGEST_GAP_S, Channel
from strapline.method.signal.clocks.channel_search import SHORTEST_S, Twin, agreed
from strapline.method.signal.grid import values_at

# Windows whose offsets part by more show a step, or a clock that drifts.
LARGEST_STEP_S = 5.0
EVERY_S = SHORTEST_S / 2
# How far a window looks: a pause left out may last some minutes.
REACH_S = 240.0
# A jump may lie wherever the two files then differ by hardly more than where they differ least, in
# seconds of a full spread; and so much to either side of that.
LIKELY, UNSURE_S = 0.4, 15.0
# However far a sensor fails, a second counts as no more of the spread, squared.
FARTHEST = 0.25


@dataclass(frozen=True)
class Stretch:
    """From `start_s` to `end_s` of the reference's clock, the offset in s to add to the device's
    times."""

    start_s: float
    end_s: float
    offset_s: float


def windows(twins: Sequence[Twin]) -> list[Stretch]:
    """What each ten minutes tell, of those that tell something: by a channel that could set a
    clock, or by two that say the same. In order of time."""
    first, end = _span(twins)
    last = end - SHORTEST_S
    found = []
    for start in np.append(np.arange(first, last, EVERY_S), [last] if last >= first else []):
        window = float(start), float(start) + SHORTEST_S + LONGEST_GAP_S
        offset_s = _told(twins, *window)
        if offset_s is not None:
            found.append(Stretch(*window, offset_s))
    return found


def parted_by_s(found: Sequence[Stretch]) -> float:
    """By how much the offsets of a session differ, in s."""
    offsets = [window.offset_s for window in found]
    return max(offsets, default=0.0) - min(offsets, default=0.0)


def stretches(twins: Sequence[Twin], found: Sequence[Stretch]) -> list[Stretch]:
    """Those that each tell one offset as surely as a whole session must; what lies between them is
    not known. Windows that agree are one stretch, up to where the clock jumps; before the first of
    all and after the last the clock may have jumped too."""
    runs: list[list[Stretch]] = []
    for window in found:
        if runs and parted_by_s([*runs[-1], window]) <= LARGEST_STEP_S:
            runs[-1].append(window)
        else:
            runs.append([window])
    levels = [float(np.median([window.offset_s for window in run])) for run in runs]
    edges: list[tuple[float, float]] = []
    for (one, other), (before, after) in zip(pairwise(runs), pairwise(levels), strict=True):
        edges.append(jump(twins, one[-1].start_s, other[0].end_s, before, after))
    first, last = _span(twins)
    earliest, latest = found[0].start_s, found[-1].end_s
    starts = [earliest if earliest > first else -np.inf, *(start for _, start in edges)]
    ends = [*(end for end, _ in edges), latest if latest < last else np.inf]
    told = [_told(twins, *span) for span in zip(starts, ends, strict=True)]
    return [
        Stretch(start, end, offset_s)
        for start, end, offset_s in zip(starts, ends, told, strict=True)
        if offset_s is not None
    ]


def set_right(known: Sequence[Stretch]) -> str:
    """'2 parts of it are set right by 0.0 s and +60.0 s, and what lies between is left out'."""
    parts = f"{len(known)} parts of it are" if len(known) > 1 else "one part of it is"
    offsets = listed([shift(one.offset_s) for one in known])
    beyond = {
        "before": np.isfinite(known[0].start_s),
        "between": len(known) > 1,
        "after": np.isfinite(known[-1].end_s),
    }
    left = listed([where for where, unknown in beyond.items() if unknown])
    return f"{parts} set right by {offsets}, and what lies {left} is left out"


def pieces_of(known: Sequence[Stretch]) -> tuple[Piece, ...]:
    """The stretches by the device's own clock."""
    return tuple(_piece(one, round(one.offset_s, 1)) for one in known)


def put_back(channel: Channel, pieces: Iterable[Piece]) -> Channel:
    """At the times by these pieces, without what lies in none of them."""
    placed_s = channel.time_s + offsets_in(pieces, channel.time_s)
    return Channel(placed_s, channel.value).where(np.isfinite(placed_s))


def _piece(stretch: Stretch, offset_s: float) -> Piece:
    start, end = (
        round(at_s - offset_s, 1) if np.isfinite(at_s) else None
        for at_s in (stretch.start_s, stretch.end_s)
    )
    return Piece(from_s=start, until_s=end, offset_s=offset_s)


def _span(twins: Sequence[Twin]) -> tuple[float, float]:
    """The first and the last second of the reference's clock at which both files have a value, as
    recorded; 0 to 0 where there is none. Beyond it a session that repeats itself fits anywhere."""
    firsts = [max(one.ours.time_s[0], one.theirs.time_s[0]) for one in twins]
    lasts = [min(one.ours.time_s[-1], one.theirs.time_s[-1]) for one in twins]
    return min(firsts, default=0.0), max(lasts, default=0.0)


def _told(twins: Sequence[Twin], start_s: float, end_s: float) -> float | None:
    """The offset that this part of the session tells, if it does."""
    parts = (
        Twin(
            one.name,
            one.ours.between(start_s, end_s),
            one.theirs.between(start_s - REACH_S, end_s + REACH_S),
        )
        for one in twins
    )
    likely = [found for part in parts if (found := part.offset) is not None and found.likely]
    sure = len(likely) > 1 or any(one.accepted for one in likely)
    return agreed(likely) if sure else None


def jump(
    twins: Sequence[Twin], first_s: float, last_s: float, before_s: float, after_s: float
) -> tuple[float, float]:
    """The last second by the offset before, and the first by the offset after: those between which
    the values of both files agree best, with a margin. The pause itself lies between them."""
    seconds = np.arange(first_s, last_s)
    pause = max(0, round(after_s - before_s))
    cost = np.zeros(seconds.size + 1)
    for twin in twins:
        ours, theirs = twin.ours, twin.theirs
        value = values_at(seconds, ours.time_s, ours.value, LONGEST_GAP_S)
        by_before, by_after = (
            _squares(value, values_at(seconds - offset, theirs.time_s, theirs.value, LONGEST_GAP_S))
            for offset in (before_s, after_s)
        )
        resumed = np.append(np.cumsum(by_after[::-1])[::-1], 0.0)
        cost += np.append(0.0, np.cumsum(by_before))
        cost += resumed[np.minimum(np.arange(cost.size) + pause, seconds.size)]
    likely = first_s + np.flatnonzero(cost <= cost.min() + LIKELY)
    return float(likely[0]) - UNSURE_S, float(likely[-1]) + pause + UNSURE_S


def _squares(ours: np.ndarray, theirs: np.ndarray) -> np.ndarray:
    """Squared differences in units of the spread; the usual one where a value is missing."""
    squares = (ours - theirs) ** 2 / max(float(np.nanvar(ours)), 1e-12)
    squares = np.minimum(squares, FARTHEST)
    usual = np.nanmean(squares) if np.isfinite(squares).any() else 0.0
    return np.where(np.isfinite(squares), squares, usual)
