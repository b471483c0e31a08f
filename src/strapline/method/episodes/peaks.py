"""The reference's peaks, and how high and how late the device's came."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import find_peaks

from strapline.method.episodes.view import View
from strapline.method.signal.clocks.likeness import smoothed

PROMINENCE_BPM = 15.0
PEAKS_APART_S = 30
# A peak may come this much earlier or later on the device.
PEAK_WITHIN_S = 20
REACHED_WITHIN_BPM = 5
LONGEST_INTERVAL_S = 10
# A steady heart strays by a beat or two: which second of a top that falls by less is the highest is
# chance.
SMALLEST_FALL_BPM = 3.0


@dataclass(frozen=True)
class Peak:
    """A peak of the reference: its second and, smoothed over 5 s, both sides' bpm; the device's is
    its highest within 20 s.

    late_s is how much later the device's came; None where the reference's top is flat, so that
    which second is its highest is chance, and where the device was highest at an end of the time
    looked at, and so had no peak of its own.
    """

    second: int
    reference_bpm: float
    device_bpm: float
    late_s: int | None

    @property
    def reached(self) -> bool:
        return abs(self.device_bpm - self.reference_bpm) <= REACHED_WITHIN_BPM

    @property
    def overshot(self) -> bool:
        return self.device_bpm > self.reference_bpm + REACHED_WITHIN_BPM


def peaks(view: View) -> tuple[Peak, ...]:
    """Peaks of the reference around which the device has a value in most seconds."""
    if view.interval_s > LONGEST_INTERVAL_S:
        return ()
    device = np.where(view.compared, view.device_bpm, np.nan)
    rates, shown = smoothed(view.reference_bpm), smoothed(device)
    filled = np.where(np.isnan(rates), -np.inf, rates)
    found = []
    tops, _ = find_peaks(filled, prominence=PROMINENCE_BPM, distance=PEAKS_APART_S)
    for second in tops.tolist():
        first = max(second - PEAK_WITHIN_S, 0)
        around = shown[first : second + PEAK_WITHIN_S + 1]
        if np.mean(~np.isnan(around)) > 0.5:
            highest = float(np.nanmax(around))
            own = rates[first : second + PEAK_WITHIN_S + 1]
            late_s = None if _is_flat(own, second - first) else _late_s(around, second - first)
            found.append(Peak(second, float(rates[second]), highest, late_s))
    return tuple(found)


def _is_flat(around: np.ndarray, second: int) -> bool:
    """Whether the rate hardly falls within the time looked at, on either side of its top."""
    falls = (around[second] - np.nanmin(side) for side in (around[: second + 1], around[second:]))
    return bool(min(falls) < SMALLEST_FALL_BPM)


def _late_s(around: np.ndarray, second: int) -> int | None:
    """From `second` to the middle of the seconds in which the device was highest."""
    known = np.flatnonzero(~np.isnan(around))
    highest = np.flatnonzero(around == np.nanmax(around))
    if highest[0] == known[0] or highest[-1] == known[-1]:
        return None
    return int(highest[(highest.size - 1) // 2]) - second
