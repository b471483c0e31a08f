"""Whether a 'wrist' recording is in truth the reference's own signal, received by radio.

A watch that is paired with the strap records the strap. Its file then agrees with the reference
far better than any sensor of its own could, and is no evidence of anything.
"""

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from strapline.method.signal.trace import Trace

# Radio, display and averaging delay a copy by some seconds; two sensors that round to whole beats
# a minute meet in every second at no shift.
LARGEST_SHIFT_S = 12
# One side may average what it receives, or the strap what it sends.
LONGEST_MEAN_S = 15
SHORTEST_S = 120
SMALLEST_SPREAD_BPM = 3.0
EQUAL_BPM = 0.5
# One strap on two recorders read the same in 96 % of a real ride; a wrist sensor beside a strap, at
# its best shift, in 21 % of another.
SMALLEST_SHARE = 0.95
# One of so many seconds is looked at first.
PART = 8


def is_copy(reference: Trace, device: Trace, longest_gap_s: float) -> bool:
    """Whether the two are one signal: the same in at least 95 % of seconds, after a shift of up to
    12 s and a mean over up to 15 s of either.

    What could prove nothing is none: less than two minutes in common, or a reference that hardly
    changes.
    """
    if reference.time_s.size == 0 or device.time_s.size == 0:
        return False
    first = np.ceil(max(reference.time_s[0], device.time_s[0]))
    last = np.floor(min(reference.time_s[-1], device.time_s[-1]))
    seconds = np.arange(first, last + 1)
    ours = reference.at(seconds, longest_gap_s)
    known = ~np.isnan(ours)
    if known.sum() < SHORTEST_S or np.std(ours[known]) < SMALLEST_SPREAD_BPM:
        return False
    # Where the device's own values lie: between two of them it has none of the reference's.
    within_second = float(device.time_s[0] % 1)
    wide = np.arange(first - LARGEST_SHIFT_S, last + LARGEST_SHIFT_S + 1) + within_second
    theirs = device.at(wide, longest_gap_s)
    sides = [(ours, theirs)]
    sides += [(mean, theirs) for mean in _means(ours)] + [(ours, mean) for mean in _means(theirs)]
    return any(_are_equal(*pair) for pair in sides)


def witnesses(recordings: Iterable[tuple[str, Trace]], longest_gap_s: float) -> list[Trace]:
    """Of recordings by device, those that say something of their own: the first of each device, and
    none that copies another, whichever was received by the other."""
    kept: dict[str, Trace] = {}
    for device, trace in recordings:
        if device not in kept and not any(
            is_copy(other, trace, longest_gap_s) for other in kept.values()
        ):
            kept[device] = trace
    return list(kept.values())


def _means(values: np.ndarray) -> Iterator[np.ndarray]:
    """Over 2 to 15 of them; NaN where one is missing."""
    for width in range(2, LONGEST_MEAN_S + 1):
        if width <= values.size:
            yield np.convolve(values, np.full(width, 1 / width), mode="same")


def _are_equal(ours: np.ndarray, theirs: np.ndarray) -> bool:
    """Whether at some shift, of the seconds that both have, nearly all are equal."""
    at_shifts = sliding_window_view(theirs, ours.size)
    # More than are allowed to differ may do so in a part of the seconds already.
    apart = np.abs(at_shifts[:, ::PART] - ours[::PART]) > EQUAL_BPM
    likely = np.count_nonzero(apart, axis=1) <= (1 - SMALLEST_SHARE) * ours.size
    for shifted in at_shifts[likely]:
        apart_bpm = np.abs(ours - shifted)
        both = np.count_nonzero(~np.isnan(apart_bpm))
        equal = np.count_nonzero(apart_bpm <= EQUAL_BPM)
        if both >= SHORTEST_S and equal / both >= SMALLEST_SHARE:
            return True
    return False
