"""Whether a 'wrist' recording is in truth the reference's own signal, received by radio.

A watch that is paired with the strap records the strap. Its file then agrees with the reference
far better than any sensor of its own could, and is no evidence of anything.
"""

import numpy as np

from strapline.method.signal.trace import Trace

# Radio and display delay a copy by a few seconds; two sensors that round to whole beats a minute
# meet in every second at no shift.
LARGEST_SHIFT_S = 5
SHORTEST_S = 120
SMALLEST_SPREAD_BPM = 3.0
EQUAL_BPM = 0.5
# One strap on two recorders read the same in 96 % of a real ride; a wrist sensor beside a strap, at
# its best shift, in 21 % of another.
SMALLEST_SHARE = 0.95


def share_equal(reference: Trace, device: Trace, longest_gap_s: float) -> float | None:
    """The largest share of seconds, over shifts of up to 5 s, in which both read the same.

    None where it could prove nothing: less than two minutes in common, or a reference that
    hardly changes.
    """
    if reference.time_s.size == 0 or device.time_s.size == 0:
        return None
    first = np.ceil(max(reference.time_s[0], device.time_s[0]))
    last = np.floor(min(reference.time_s[-1], device.time_s[-1]))
    seconds = np.arange(first, last + 1)
    ours = reference.at(seconds, longest_gap_s)
    known = ~np.isnan(ours)
    if known.sum() < SHORTEST_S or np.std(ours[known]) < SMALLEST_SPREAD_BPM:
        return None
    # Where the device's own values lie: between two of them it has none of the reference's.
    within_second = float(device.time_s[0] % 1)
    shares = []
    for shift in range(-LARGEST_SHIFT_S, LARGEST_SHIFT_S + 1):
        theirs = device.at(seconds + shift + within_second, longest_gap_s)
        both = known & ~np.isnan(theirs)
        if both.sum() >= SHORTEST_S:
            shares.append(float(np.mean(np.abs(ours[both] - theirs[both]) <= EQUAL_BPM)))
    return max(shares, default=None)


def is_copy(reference: Trace, device: Trace, longest_gap_s: float) -> bool:
    """Whether the two are one signal: equal in at least 95 % of seconds at one shift."""
    share = share_equal(reference, device, longest_gap_s)
    return share is not None and share >= SMALLEST_SHARE
