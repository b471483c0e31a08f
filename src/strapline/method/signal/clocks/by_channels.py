"""The second evidence of a clock: speed, cadence or power that both files measured."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Decision
from strapline.ground.words import listed, shift
from strapline.method.signal.clocks.channel_search import (
    LEAST_SPREAD,
    SHORTEST_S,
    Channel,
    ChannelOffset,
    agreed,
    channel_offset,
    longest_apart_s,
)
from strapline.method.signal.clocks.pair import Pair

# Filters of sensors part two right clocks by up to this, and satellite times by up to the second.
FILTERS_S, SATELLITES_S = 3.0, 5.0
# Devices that record when something changes do so at least this often while one moves.
LONGEST_GAP_S = 20.0
# Windows whose offsets part by more show a step, or a clock that drifts.
LARGEST_STEP_S = 5.0
EVERY_S = SHORTEST_S / 2
# How far a window looks: a pause left out may last some minutes.
REACH_S = 240.0
NAMES = {"speed_m_s": "speed", "cadence_per_min": "cadence", "power_w": "power"}


def by_channels(pair: Pair) -> ClockDecision | None:
    """An offset by what both files measured; one that filters of sensors could explain is none.

    Channels that quarrel decide nothing, and clocks that part in mid-session cannot be set right.
    """
    ours, theirs = pair.reference_channels, pair.channels
    common = [name for name in NAMES if name in ours and name in theirs]
    by_window = sorted(_by_window({name: (ours[name], theirs[name]) for name in common}))
    if by_window and by_window[-1] - by_window[0] > LARGEST_STEP_S:
        return _stepping(pair, by_window[-1] - by_window[0])
    told = {name: _offset(name, ours[name], theirs[name]) for name in common}
    accepted = {name: found for name, found in told.items() if found and found.accepted}
    offset_s = agreed(accepted.values())
    if offset_s is None:
        return None
    if all(_parts(name, ours[name], theirs[name], offset_s) for name in accepted):
        return _stepping(pair, abs(offset_s))
    return _set(pair, offset_s, listed([NAMES[name] for name in accepted]))


def _set(pair: Pair, offset_s: float, by: str) -> ClockDecision:
    satellites = pair.entry.satellite and pair.reference_entry.satellite
    allowed_s = SATELLITES_S if satellites else FILTERS_S
    right = abs(offset_s) <= allowed_s
    if right:
        why = (
            f"By {by} in both files its clock is right to within {allowed_s:g} s "
            f"({shift(offset_s)}, as filters of sensors differ)."
        )
    else:
        why = (
            f"By {by} in both files its clock is {abs(offset_s):.1f} s "
            f"{'behind' if offset_s > 0 else 'ahead'}; it is set right by {shift(offset_s)}."
        )
    return ClockDecision(
        recording=pair.entry.recording,
        offset_s=0.0 if right else round(offset_s, 1),
        decision=Decision.CHANNELS,
        reason=why,
    )


def _by_window(channels: dict[str, tuple[Channel, Channel]]) -> Iterator[float]:
    """The offset that each ten minutes tell, of those that tell one: by a channel that could set a
    clock, or by two that say the same."""
    starts = [ours.time_s[0] for ours, _ in channels.values()]
    ends = [ours.time_s[-1] for ours, _ in channels.values()]
    for start in np.arange(min(starts, default=0), max(ends, default=0) - SHORTEST_S + 1, EVERY_S):
        found = [_offset(name, *_window(*both, start)) for name, both in channels.items()]
        likely = [one for one in found if one is not None and one.likely]
        offset_s = agreed(likely)
        if offset_s is not None and (len(likely) > 1 or likely[0].accepted):
            yield offset_s


def _parts(name: str, ours: Channel, theirs: Channel, offset_s: float) -> bool:
    """Whether what agrees over the whole session does not in ten minutes of it."""
    apart_s = longest_apart_s(ours, theirs, offset_s, LEAST_SPREAD[name], LONGEST_GAP_S)
    return apart_s >= SHORTEST_S


def _window(ours: Channel, theirs: Channel, start: float) -> tuple[Channel, Channel]:
    end = start + SHORTEST_S + LONGEST_GAP_S
    return _between(ours, start, end), _between(theirs, start - REACH_S, end + REACH_S)


def _offset(name: str, ours: Channel, theirs: Channel) -> ChannelOffset | None:
    return channel_offset(ours, theirs, LEAST_SPREAD[name], LONGEST_GAP_S)


def _between(channel: Channel, first_s: float, last_s: float) -> Channel:
    low, high = np.searchsorted(channel.time_s, [first_s, last_s])
    return Channel(channel.time_s[low:high], channel.value[low:high])


def _stepping(pair: Pair, by_s: float) -> ClockDecision:
    why = (
        f"Its clock and the strap's part in the middle of the session, by up to {by_s:.0f} s: one "
        "of the two files leaves pauses out, or its clock drifts. No single offset is right, so "
        "nothing is compared. Record without automatic pauses, or put what comes before and after "
        "the pause in sessions of their own."
    )
    return ClockDecision(
        recording=pair.entry.recording, offset_s=0.0, decision=Decision.STEPPING, reason=why
    )
