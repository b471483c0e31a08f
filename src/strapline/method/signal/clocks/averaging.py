"""Over how many seconds more one of two files averages a quantity than the other.

A mean that looks back is late by half of its length; one that looks to both sides is not. Which of
the two a device shows no file tells, so a longer mean in one file leaves the clock unsure by that.
"""

from __future__ import annotations

import numpy as np
from scipy.ndimage import uniform_filter1d

from strapline.method.signal.clocks.channel import TREND_S, Channel
from strapline.method.signal.clocks.channel_search import Twin
from strapline.method.signal.grid import seconds_spanned, values_at
from strapline.method.signal.spacing import Spacing

# One that records seldom may average over so long unseen, or over the time between two values; a
# width that is seen is right to within two seconds.
LONGEST_UNSEEN_S, UNSURE_S = 9, 2
WIDTHS_S = range(1, 16)
# Autocovariances are compared up to this lag, and known up to that of the longest mean beyond.
LAGS_S = 15
REACH_S = LAGS_S + WIDTHS_S[-1]


def later_s(twin: Twin) -> tuple[float, float]:
    """By how much the device may show this quantity later than the reference for its averaging, at
    least and at most, in s.

    Where both record every second: the mean that makes the autocovariance of the one that changes
    faster that of the other.
    """
    reference, device = twin.ours, twin.theirs
    usual_s = max(Spacing.of(one.time_s).usual_s for one in (reference, device))
    if usual_s > 1:
        unseen_s = _late_s(max(LONGEST_UNSEEN_S, usual_s))
        return -unseen_s, unseen_s
    ours, theirs = _autocovariance(reference), _autocovariance(device)
    (of_device, device_s), (of_reference, reference_s) = (
        _mean_s(ours, theirs),
        _mean_s(theirs, ours),
    )
    if min(device_s, reference_s) == 1 and max(device_s, reference_s) <= UNSURE_S:
        return 0.0, 0.0
    if of_device <= of_reference:
        return 0.0, _late_s(device_s + UNSURE_S)
    return -_late_s(reference_s + UNSURE_S), 0.0


def _late_s(width_s: float) -> float:
    return (width_s - 1) / 2


def _mean_s(fast: np.ndarray, slow: np.ndarray) -> tuple[float, int]:
    """What is left between the two autocovariances after the best mean of `fast`, and its width;
    but for a factor, since devices measure on scales of their own."""
    wanted = slow[: LAGS_S + 1]
    both_sides = np.concatenate([fast[:0:-1], fast])
    found = []
    for width_s in WIDTHS_S:
        mean = np.full(width_s, 1 / width_s)
        made = np.convolve(both_sides, np.convolve(mean, mean), mode="same")[REACH_S:][: LAGS_S + 1]
        left = wanted - (made @ wanted) / max(float(made @ made), 1e-12) * made
        found.append((float(left @ left), width_s))
    return min(found)


def _autocovariance(channel: Channel) -> np.ndarray:
    """Of what changes within two minutes, at lags of 0 to `REACH_S`, as a share of that at 0."""
    seconds = seconds_spanned(channel.time_s)
    value = values_at(seconds, channel.time_s, channel.value, 1.0)
    known = np.isfinite(value)
    filled = np.where(known, value, 0.0)
    trend, count = (uniform_filter1d(one, TREND_S) for one in (filled, known.astype(float)))
    changes = np.where(known, filled - trend / np.maximum(count, 1e-9), 0.0)
    length = 2 * seconds.size
    powers = (np.abs(np.fft.rfft(one, length)) ** 2 for one in (changes, known.astype(float)))
    products, pairs = (np.fft.irfft(power, length)[: REACH_S + 1] for power in powers)
    covariance: np.ndarray = products / np.maximum(pairs, 1)
    return covariance / max(float(covariance[0]), 1e-12)
