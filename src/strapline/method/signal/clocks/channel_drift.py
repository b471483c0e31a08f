"""A clock that gains or loses evenly over a session, told by what both files measured besides heart
rate.

Ten minutes at a time may tell too little. So the whole session is looked at, with the device's
clock run faster and slower: at its true rate the two agree best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.channel_search import SHORTEST_S, Twin
from strapline.method.signal.clocks.pieces import LARGEST_STEP_S, Stretch

# By how much a clock is tried to gain over the session, in s; the best lies where a parabola
# through it and so many to either side has its top.
GAINS_S = np.arange(-60.0, 61.0, 5.0)
AROUND = 2
# Offsets of ten minutes lie on the line of an even drift to within this; so many of them tell it
# where a session repeats itself, so that others fit it as a whole nearly as well.
OFF_THE_LINE_S, ENOUGH_ON_LINE = 2.0, 4


@dataclass(frozen=True)
class EvenDrift:
    """The offset in s at `at_s` of the reference's clock, how it grows in an hour, and how well the
    two files then agree."""

    at_s: float
    offset_s: float
    per_hour_s: float
    correlation: float

    def taken_out(self, channel: Channel) -> Channel:
        """A quantity of the device with its clock run evenly."""
        return _run(channel, self.at_s, self.per_hour_s)

    def offset_at(self, at_s: float) -> float:
        return self.offset_s + self.per_hour_s / 3600 * (at_s - self.at_s)


def even_drift(
    twins: Sequence[Twin], found: Sequence[Stretch], unsure_s: float
) -> EvenDrift | None:
    """The drift that the surest of the channels tells, if by it the clock gains or loses more over
    the session than windows of a right one part; None where there is none, or what windows tell
    does not lie on its line, to within what their averages leave unsure."""
    asked = LARGEST_STEP_S + unsure_s, len(found) >= ENOUGH_ON_LINE
    told = [drift for twin in twins if (drift := _told(twin, *asked)) is not None]
    surest = max(told, key=lambda each: each.correlation, default=None)
    if surest is None:
        return None
    off_s = [one.offset_s - surest.offset_at((one.start_s + one.end_s) / 2) for one in found]
    on_line = max(map(abs, off_s), default=0.0) <= OFF_THE_LINE_S + unsure_s
    return surest if on_line else None


def _told(twin: Twin, least_s: float, repeats: bool) -> EvenDrift | None:
    """By what drift the two agree; None where the clock gains no more than `least_s`, or that does
    not make them one session. `repeats`: that may repeat itself."""
    ours_s, theirs_s = twin.ours.time_s, twin.theirs.time_s
    first_s, last_s = max(ours_s[0], theirs_s[0]), min(ours_s[-1], theirs_s[-1])
    at_s = float(first_s + last_s) / 2
    hours = float(last_s - first_s) / 3600
    if hours * 3600 < SHORTEST_S:
        return None

    def run(gain_s: float) -> Twin:
        return twin.by(_run(twin.theirs, at_s, gain_s / hours))

    gain_s = _top(np.array([run(tried_s).best_correlation for tried_s in GAINS_S]))
    if abs(gain_s) <= least_s:
        return None
    even = run(gain_s)
    offset = even.offset
    if offset is None or not (offset.likely if repeats else offset.accepted):
        return None
    if even.longest_apart_s(offset.offset_s):
        return None
    # By the reference's clock, the middle of the device's lies later by the offset.
    return EvenDrift(at_s + offset.offset_s, offset.offset_s, gain_s / hours, offset.correlation)


def _run(channel: Channel, at_s: float, per_hour_s: float) -> Channel:
    """By a clock that agrees at `at_s` and gains so much in an hour."""
    return Channel(channel.time_s + per_hour_s / 3600 * (channel.time_s - at_s), channel.value)


def _top(agreed: np.ndarray) -> float:
    """The gain in s at which they agree best; 0 at the edge of those tried, and where none
    tells."""
    best = int(np.argmax(agreed))
    around = slice(best - AROUND, best + AROUND + 1)
    gains, near = GAINS_S[around], agreed[around]
    if gains.size <= 2 * AROUND or not np.isfinite(near).all():
        return 0.0
    bend, slope, _ = np.polyfit(gains - gains[AROUND], near, 2)
    if bend >= 0:
        return 0.0
    step = gains[1] - gains[0]
    return float(gains[AROUND] + np.clip(-slope / (2 * bend), -step, step))
