"""What a device managed when: first lock, settling, longest time right, peaks reached."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import find_peaks

from strapline.episodes.detect import Detection
from strapline.episodes.spans import Span, bridged, longest_run, within
from strapline.episodes.view import View
from strapline.signal.evidence import smoothed
from strapline.signal.response import LOCK_HOLD_S, first_lock

if TYPE_CHECKING:
    from strapline.settings import Tolerance

SETTLED_SHARE = 0.95
SHORTEST_SETTLED_S = 60
# A gap in the comparison this short does not end a time on track.
LONGEST_GAP_S = 10
PROMINENCE_BPM = 15.0
PEAKS_APART_S = 30
# A peak may come this much earlier or later on the device.
PEAK_WITHIN_S = 20
REACHED_WITHIN_BPM = 5
LONGEST_INTERVAL_S = 10


@dataclass(frozen=True)
class Peak:
    """A peak of the reference: its second and, smoothed over 5 s, both sides' bpm.

    late_s is how much later the device's came; None where the device was highest at an end of
    the time looked at, and so had no peak of its own.
    """

    second: int
    reference_bpm: float
    device_bpm: float
    reached: bool
    late_s: int | None


@dataclass(frozen=True)
class Course:
    """Seconds from the session's first; None where it never happened.

    first_lock_s
        When the device first stayed within the tolerance for 30 s.
    settled_s
        The earliest second on track from which on at most 5 % of the time is in episodes, and
        at least a minute is on track.
    longest
        The longest time compared without an episode.
    longest_error_bpm
        Mean absolute error in it; NaN where there is none.
    peaks
        The reference's peaks (15 bpm prominent, 30 s apart) that the device could show; reached
        if within 20 s it came as high as 5 bpm below.
    """

    first_lock_s: int | None
    settled_s: int | None
    longest: Span | None
    longest_error_bpm: float
    peaks: tuple[Peak, ...]


def course(view: View, detection: Detection, tolerance: Tolerance) -> Course:
    device = np.where(view.compared, view.device_bpm, np.nan)
    limits = tolerance.beats, tolerance.percent
    wrong = within([(e.start_s, e.end_s) for e in detection.episodes], view.length)
    right = view.compared & ~wrong
    longest = longest_run(bridged(right, LONGEST_GAP_S) & ~wrong)
    errors = view.error_bpm[slice(*longest)] if longest else np.array([np.nan])
    comparable = np.where(view.compared | view.no_device, view.reference_bpm, np.nan)
    return Course(
        first_lock_s=first_lock(comparable, device, LOCK_HOLD_S, *limits),
        settled_s=_settled(right, wrong),
        longest=longest,
        longest_error_bpm=float(np.nanmean(np.abs(errors))) if longest else np.nan,
        peaks=peaks(view),
    )


def _settled(right: np.ndarray, wrong: np.ndarray) -> int | None:
    right_to_come = np.cumsum(right[::-1])[::-1]
    to_come = right_to_come + np.cumsum(wrong[::-1])[::-1]
    enough = (right_to_come >= SHORTEST_SETTLED_S) & (right_to_come >= SETTLED_SHARE * to_come)
    from_here = right & enough
    return int(np.argmax(from_here)) if from_here.any() else None


def peaks(view: View) -> tuple[Peak, ...]:
    """Peaks of the reference around which the device has a value in most seconds."""
    if view.interval_s > LONGEST_INTERVAL_S:
        return ()
    device = np.where(view.compared, view.device_bpm, np.nan)
    rates, shown = smoothed(view.reference_bpm), smoothed(device)
    filled = np.where(np.isnan(rates), -np.inf, rates)
    seconds, _ = find_peaks(filled, prominence=PROMINENCE_BPM, distance=PEAKS_APART_S)
    found = []
    for second in seconds.tolist():
        first = max(second - PEAK_WITHIN_S, 0)
        around = shown[first : second + PEAK_WITHIN_S + 1]
        if np.mean(~np.isnan(around)) > 0.5:
            highest = float(np.nanmax(around))
            reached = bool(highest >= rates[second] - REACHED_WITHIN_BPM)
            late_s = _late_s(around, second - first)
            found.append(Peak(second, float(rates[second]), highest, reached, late_s))
    return tuple(found)


def _late_s(around: np.ndarray, second: int) -> int | None:
    """From `second` to the middle of the seconds in which the device was highest."""
    known = np.flatnonzero(~np.isnan(around))
    highest = np.flatnonzero(around == np.nanmax(around))
    if highest[0] == known[0] or highest[-1] == known[-1]:
        return None
    return int(highest[(highest.size - 1) // 2]) - second
