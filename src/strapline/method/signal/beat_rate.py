"""Heart rate from RR intervals."""

import numpy as np

SMALLEST_COVER = 0.5


def rate_at_seconds(
    end_s: np.ndarray, rr_ms: np.ndarray, kept: np.ndarray, window_s: float
) -> tuple[np.ndarray, np.ndarray]:
    """Whole seconds from the first beat to the last, and the heart rate at each in bpm.

    The rate at second t is 60 000 / mean RR over the kept intervals that end within half a
    window of t: the reciprocal of the mean, not the mean of reciprocals, which overstates it.
    It is missing (NaN) where kept intervals fill less than half of the window.

    Parameters: end_s, end of each interval in seconds, ascending; rr_ms, the intervals; kept,
    which of them to use; window_s, full width of the window. All arrays have one shape (n,).
    """
    end_s = np.asarray(end_s, dtype=float)
    if end_s.size == 0:
        return np.array([]), np.array([])
    seconds = np.arange(np.ceil(end_s[0]), np.floor(end_s[-1]) + 1)
    used_end = end_s[kept]
    total = np.concatenate([[0.0], np.cumsum(np.asarray(rr_ms, dtype=float)[kept])])
    first = np.searchsorted(used_end, seconds - window_s / 2, side="right")
    last = np.searchsorted(used_end, seconds + window_s / 2, side="right")
    count, length_ms = last - first, total[last] - total[first]
    covered = (count > 0) & (length_ms >= SMALLEST_COVER * window_s * 1000)
    rate = np.full(seconds.shape, np.nan)
    rate[covered] = 60_000 * count[covered] / length_ms[covered]
    return seconds, rate
