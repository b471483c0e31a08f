"""Clocks wrong by whole hours or quarters: a time zone, daylight saving, local time as UTC."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.method.signal.clocks.heart_rate_search import (
    Demands,
    OffsetSearch,
    search_offset,
)
from strapline.method.signal.grid import seconds_spanned

if TYPE_CHECKING:
    from strapline.method.signal.trace import Trace

QUARTER_HOUR_S = 900
# From the westernmost zone to the easternmost.
FARTHEST_S = 26 * 3600
# An hour of overlap decides; with more, the liveliest is looked at.
LONGEST_LOOK_S = 3600
SHORTEST_LOOK_S = 300
# A shift by quarters of an hour need not be told to the second, but as one of its kind.
DEMANDS = Demands(largest_doubt_s=8, lowest_closeness=0.6)
# Recordings that share no time, but start and end together after the shift, need less.
DEMANDS_IF_SPANS_MEET = Demands(largest_doubt_s=5, lowest_closeness=0.45)


def find_gross_shift(reference: Trace, device: Trace, search_s: int, longest_gap_s: float) -> int:
    """The one multiple of a quarter of an hour, in s, after which the two traces agree where it is
    added to the device's times; 0 if there is none.

    Shifts by up to 26 h are tried that leave at least 5 min in common, recordings that overlap
    in part included. Applied only if the clocks as they stand do not agree, and exactly one
    shift does: to within `search_s`, with at most 8 s of doubt, and close together
    wherever not plainly apart. Less is asked where the recordings as they stand share no time,
    but start and end within `search_s` of each other after the shift. The rule is our own; how
    often it errs is printed by tests/benchmarks/clock_offset.py.
    """

    def agree(shift_s: int) -> bool:
        demands = DEMANDS_IF_SPANS_MEET if _meet(reference, device, shift_s, search_s) else DEMANDS
        found = _looked_at(reference, device.shifted(shift_s), search_s, longest_gap_s)
        return demands.met_by(found)

    candidates = _candidates(reference, device, search_s)
    if 0 in candidates and agree(0):
        return 0
    agreeing = [shift_s for shift_s in candidates if shift_s and agree(shift_s)]
    # What agrees for most of the time is not moved for the sake of a part, as where a file leaves
    # out a pause.
    if len(agreeing) != 1 or not _brings_closer(reference, device, agreeing[0], longest_gap_s):
        return 0
    return agreeing[0]


def spoken(seconds: int) -> str:
    """A shift in words, such as '+1 h' or '−45 min'."""
    sign = "−" if seconds < 0 else "+"
    hours, minutes = divmod(abs(seconds) // 60, 60)
    parts = [f"{hours} h"] * (hours > 0) + [f"{minutes} min"] * (minutes > 0 or hours == 0)
    return sign + " ".join(parts)


def _candidates(reference: Trace, device: Trace, search_s: int) -> list[int]:
    """Multiples of a quarter of an hour that leave enough in common; none if a side is empty."""
    ours, theirs = reference.time_s, device.time_s
    if ours.size == 0 or theirs.size == 0:
        return []
    quarters = np.arange(-FARTHEST_S, FARTHEST_S + 1, QUARTER_HOUR_S)
    common = np.minimum(ours[-1], theirs[-1] + quarters) - np.maximum(ours[0], theirs[0] + quarters)
    return [int(shift_s) for shift_s in quarters[common >= SHORTEST_LOOK_S - search_s]]


def _meet(reference: Trace, device: Trace, shift_s: int, search_s: int) -> bool:
    ours, theirs = reference.time_s[[0, -1]], device.time_s[[0, -1]]
    apart_now = theirs[0] > ours[1] or theirs[1] < ours[0]
    return bool(apart_now and (np.abs(theirs + shift_s - ours) <= search_s).all())


def _looked_at(
    reference: Trace, device: Trace, search_s: int, longest_gap_s: float
) -> OffsetSearch | None:
    seconds = seconds_spanned(reference.time_s)
    first, last = device.time_s[0] - search_s, device.time_s[-1] + search_s
    seconds = seconds[(seconds >= first) & (seconds <= last)]
    if seconds.size < SHORTEST_LOOK_S:
        return None
    ours = reference.at(seconds, longest_gap_s)
    start = _liveliest(ours)
    ours = ours[start : start + LONGEST_LOOK_S]
    start_s = seconds[start]
    wider = np.arange(start_s - search_s, start_s + ours.size + search_s)
    theirs = device.at(wider, longest_gap_s)
    return search_offset(ours, theirs, search_s, SHORTEST_LOOK_S)


def _brings_closer(reference: Trace, device: Trace, shift_s: int, longest_gap_s: float) -> bool:
    """Whether they differ less after the shift, on average over the seconds in common."""
    seconds = seconds_spanned(reference.time_s)
    ours = reference.at(seconds, longest_gap_s)
    apart = [
        np.abs(theirs.at(seconds, longest_gap_s) - ours)
        for theirs in (device, device.shifted(shift_s))
    ]
    now, then = (np.nanmean(one) if np.isfinite(one).any() else np.inf for one in apart)
    return bool(then < now)


def _liveliest(rate: np.ndarray) -> int:
    """Where the `LONGEST_LOOK_S` seconds start in which the rate changes most."""
    if rate.size <= LONGEST_LOOK_S:
        return 0
    moved = np.concatenate([[0.0], np.nancumsum(np.abs(np.diff(rate)))])
    return int(np.argmax(moved[LONGEST_LOOK_S:] - moved[:-LONGEST_LOOK_S]))
