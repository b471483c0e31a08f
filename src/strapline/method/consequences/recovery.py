"""How far heart rate falls in the minute after the hardest effort of a session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.effort import EFFORT_BANDS, effort_bands
from strapline.method.episodes.peaks import Peak
from strapline.method.episodes.view import View
from strapline.method.signal.clocks.likeness import smoothed

AFTER_S = 60
# The effort lasts for as long as the reference stays this near to its peak.
NEAR_PEAK_BPM = 5
HARD = EFFORT_BANDS.index("vigorous")


@dataclass(frozen=True)
class Recovery:
    """The second in which the effort ended, and each side's fall in bpm from its own peak to its
    value 60 s after that second."""

    second: int
    reference_bpm: float
    device_bpm: float


def recovery(view: View, peaks: Sequence[Peak], maximum_bpm: float) -> Recovery | None:
    """After the highest of the reference's `peaks`, if that is vigorous or harder.

    Peak minus value one minute after the effort: Cole et al. 1999, N Engl J Med 341:1351-1357,
    from memory; that the effort ends in the last second within 5 bpm of the peak, with none for
    a minute after, is our own. None where it does not end so, or a value is missing.
    """
    hardest = max(peaks, key=lambda peak: peak.reference_bpm, default=None)
    if hardest is None or effort_bands(np.array([hardest.reference_bpm]), maximum_bpm)[0] < HARD:
        return None
    comparable = view.compared | view.no_device
    rates = smoothed(np.where(comparable, view.reference_bpm, np.nan))
    end = _end(rates, hardest)
    if end + AFTER_S >= view.length or np.isnan(rates[hardest.second : end + AFTER_S + 1]).any():
        return None
    shown = smoothed(np.where(view.compared, view.device_bpm, np.nan))[end + AFTER_S]
    if np.isnan(shown):
        return None
    return Recovery(
        second=end,
        reference_bpm=float(hardest.reference_bpm - rates[end + AFTER_S]),
        device_bpm=float(hardest.device_bpm - shown),
    )


def _end(rates: np.ndarray, peak: Peak) -> int:
    """The last second of the effort that holds `peak`."""
    near = np.flatnonzero(rates >= peak.reference_bpm - NEAR_PEAK_BPM)
    near = near[near >= peak.second]
    left = np.append(np.diff(near) > AFTER_S, True)
    return int(near[np.argmax(left)])
