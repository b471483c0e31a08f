"""The course of a session in a few phases, in order, and in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from strapline.ground.words import clock, lasting, number
from strapline.method.episodes import kinds
from strapline.method.episodes.episode import Episode
from strapline.method.signal.response import LOCK_HOLD_S

# Episodes of one kind this near to each other are told together.
TOGETHER_S = 180
MOST_PHASES = 5
SHORTEST_S = 15
SHORTEST_SHARE = 0.01
# How much a second without any value counts, beside one that is so many bpm off.
NO_VALUE_COUNTS_BPM = 10.0
SHORTEST_BETWEEN_S = 60
LARGEST_SHARE_ON_TRACK = 0.1
SLOW_TO_LOCK_S = 20


@dataclass(frozen=True)
class Phase:
    """Episodes of one kind told together: their number, their time, and how far they were off.

    error_bpm is the mean, over their time, of the episodes' mean errors without their signs,
    since a device that is slow to follow is low and high in turn; 0 without a value.
    """

    kind: str
    start_s: int
    end_s: int
    count: int
    time_s: int
    error_bpm: float

    @property
    def weight(self) -> float:
        counts = self.error_bpm if kinds.kind(self.kind).has_error else NO_VALUE_COUNTS_BPM
        return counts * self.time_s


def phases(episodes: Iterable[Episode], length_s: int) -> list[Phase]:
    """The phases that matter most, in order of time: at most `MOST_PHASES`.

    Those that weigh least are left out, not those that come last.
    """
    shortest = max(SHORTEST_S, SHORTEST_SHARE * length_s)
    told = [phase for phase in _joined(map(_single, episodes)) if phase.time_s >= shortest]
    heaviest = sorted(told, key=lambda phase: -phase.weight)[:MOST_PHASES]
    return _joined(sorted(heaviest, key=lambda phase: phase.start_s))


def course_in_words(
    episodes: Sequence[Episode], first_lock_s: int | None, length_s: int, began_s: int = 0
) -> str:
    """'Slow to lock until 1:20; on track to 18:45; reads high by 22 bpm for 6 min from 18:45'."""
    parts, reached = _beginning(first_lock_s, began_s)
    for phase in phases((e for e in episodes if e.start_s >= reached), length_s):
        parts += _between(episodes, reached, phase.start_s, length_s)
        parts.append(_phrase(phase))
        reached = max(reached, phase.end_s)
    parts += _between(episodes, reached, length_s, length_s)
    sentence = "; ".join(parts)
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _single(episode: Episode) -> Phase:
    error = abs(episode.mean_error_bpm) if kinds.kind(episode.kind).has_error else 0.0
    span = episode.start_s, episode.end_s
    return Phase(episode.kind, *span, 1, episode.duration_s, error)


def _joined(parts: Iterable[Phase]) -> list[Phase]:
    joined: list[Phase] = []
    for part in parts:
        last = joined[-1] if joined else None
        if last and last.kind == part.kind and part.start_s - last.end_s <= TOGETHER_S:
            time_s = last.time_s + part.time_s
            total = last.error_bpm * last.time_s + part.error_bpm * part.time_s
            joined[-1] = replace(
                last,
                end_s=part.end_s,
                count=last.count + part.count,
                time_s=time_s,
                error_bpm=total / time_s,
            )
        else:
            joined.append(part)
    return joined


def _beginning(first_lock_s: int | None, began_s: int) -> tuple[list[str], int]:
    if first_lock_s is None:
        return [f"never near the reference for {LOCK_HOLD_S} s on end"], 0
    if first_lock_s - began_s > SLOW_TO_LOCK_S:
        return [f"slow to lock until {clock(first_lock_s)}"], first_lock_s
    return [], 0


def _between(episodes: Sequence[Episode], start: int, end: int, length_s: int) -> list[str]:
    """What the device was between two phases, where there is much between them."""
    if end - start < SHORTEST_BETWEEN_S:
        return []
    wrong = sum(max(min(e.end_s, end) - max(e.start_s, start), 0) for e in episodes)
    state = "on track" if wrong <= LARGEST_SHARE_ON_TRACK * (end - start) else "on and off track"
    if end < length_s:
        return [f"{state} to {clock(end)}"]
    return [f"{state} from {clock(start)} to the end" if start else f"{state} throughout"]


def _phrase(phase: Phase) -> str:
    what = kinds.kind(phase.kind).phase.format(size=number(phase.error_bpm, decimals=0))
    if phase.count == 1:
        return f"{what} for {lasting(phase.time_s)} from {clock(phase.start_s)}"
    return (
        f"{what} {phase.count} times between {clock(phase.start_s)} and {clock(phase.end_s)}, "
        f"{lasting(phase.time_s)} in all"
    )
