"""What a device managed when: first lock, settling, longest time right, peaks reached."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from strapline.method.episodes.detect import Detection
from strapline.method.episodes.peaks import peaks
from strapline.method.episodes.view import View
from strapline.method.signal.response import LOCK_HOLD_S, first_lock
from strapline.method.signal.spans import bridged, longest_run, within

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

SETTLED_SHARE = 0.95
SHORTEST_SETTLED_S = 60
# A gap in the comparison this short does not end a time on track.
LONGEST_GAP_S = 10


def course(view: View, detection: Detection, tolerance: Tolerance) -> dict[str, Any]:
    """What COURSES holds of it, in seconds from the session's first; None where it never happened.

    The device locks where it first stays within the tolerance, and on track, for 30 s; it has
    settled at the earliest second on track from which on at most 5 % of the time is in episodes,
    and at least a minute is on track. Peaks are the reference's (15 bpm prominent, 30 s apart) that
    the device could show, reached if within 20 s it came as high, to within 5 bpm.
    """
    limits = tolerance.beats, tolerance.percent
    wrong = within([(e.start_s, e.end_s) for e in detection.episodes], view.length)
    right = view.compared & ~wrong
    device = np.where(right, view.device_bpm, np.nan)
    longest = longest_run(bridged(right, LONGEST_GAP_S) & ~wrong)
    errors = view.error_bpm[slice(*longest)] if longest else np.array([np.nan])
    comparable = np.where(view.compared | view.no_device, view.reference_bpm, np.nan)
    began_s = int(np.argmax(~np.isnan(comparable)))
    lock_s = first_lock(comparable, device, LOCK_HOLD_S, *limits)
    start, end = longest or (None, None)
    found = peaks(view)
    return {
        "began_s": began_s,
        "first_lock_s": None if lock_s is None else began_s + lock_s,
        "settled_s": _settled(right, wrong),
        "longest_start_s": start,
        "longest_end_s": end,
        "longest_error_bpm": float(np.nanmean(np.abs(errors))) if longest else np.nan,
        "peaks": len(found),
        "peaks_reached": sum(peak.reached for peak in found),
        "peaks_overshot": sum(peak.overshot for peak in found),
    }


def _settled(right: np.ndarray, wrong: np.ndarray) -> int | None:
    right_to_come = np.cumsum(right[::-1])[::-1]
    to_come = right_to_come + np.cumsum(wrong[::-1])[::-1]
    enough = (right_to_come >= SHORTEST_SETTLED_S) & (right_to_come >= SETTLED_SHARE * to_come)
    from_here = right & enough
    return int(np.argmax(from_here)) if from_here.any() else None
