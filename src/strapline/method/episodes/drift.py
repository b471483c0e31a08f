"""Whether an error that reads low or high grew evenly, and from where on."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span

# What grows faster is a level that sets in.
SHORTEST_S = 300
# A line must leave so little of what the error grew by, on average, and, in squares, so much less
# than a step would.
LARGEST_SHARE_LEFT = 0.2
LESS_THAN_A_STEP = 0.6
STEPS_TRIED = 14
# A line that is so near 0 where the comparison begins left it there.
NEAR_BPM = 1.5
# So much of the error at its end is growth.
LEAST_SHARE_GROWN = 0.6


@dataclass(frozen=True)
class ErrorDrift:
    """From which second on the error grew, and how large it was there and at its span's end."""

    from_s: int
    from_bpm: float
    to_bpm: float


def drift(view: View, span: Span, least_bpm: float) -> ErrorDrift | None:
    """How the error of `span` grew, by `least_bpm` and more, from then on or before; None where it
    did not, or not along a line."""
    start = _starts(view, span)
    seconds, error = _known(view, (start, span[1]))
    if span[1] - start < SHORTEST_S or seconds.size < SHORTEST_S / 2:
        return None
    slope, level = np.polyfit(seconds, error, 1)
    from_bpm, to_bpm = level + slope * start, level + slope * span[1]
    grown = abs(to_bpm) - abs(from_bpm)
    left = error - level - slope * seconds
    is_even = np.abs(left).mean() <= LARGEST_SHARE_LEFT * grown
    is_no_step = left @ left <= LESS_THAN_A_STEP * _left_by_a_step(seconds, error)
    if is_even and is_no_step and grown >= max(least_bpm, LEAST_SHARE_GROWN * abs(to_bpm)):
        return ErrorDrift(start, float(from_bpm), float(to_bpm))
    return None


def _starts(view: View, span: Span) -> int:
    """Where a line through the error of `span`, and then through all from there on, leaves 0; or
    where the two were first compared, if that is about there."""
    first, start = int(np.argmax(view.compared)), span[0]
    for _ in range(2):
        seconds, error = _known(view, (start, span[1]))
        if seconds.size < SHORTEST_S / 2:
            break
        slope, level = np.polyfit(seconds, error, 1)
        if slope * error.mean() <= 0:
            break
        near = abs(level + slope * first) <= NEAR_BPM
        start = first if near else int(np.clip(-level / slope, first, span[0]))
    return start


def _left_by_a_step(seconds: np.ndarray, error: np.ndarray) -> float:
    """What the best of some steps leaves, in squares."""
    sides = (
        (error[seconds < at], error[seconds >= at])
        for at in np.linspace(seconds[0], seconds[-1], STEPS_TRIED)[1:-1]
    )
    return min(float(sum(one.size * one.var() for one in both if one.size)) for both in sides)


def _known(view: View, span: Span) -> tuple[np.ndarray, np.ndarray]:
    """The seconds of `span` at which there is an error, and that."""
    seconds = np.flatnonzero(view.compared[slice(*span)]) + span[0]
    return seconds, view.error_bpm[seconds]
