"""Whether a device is off by one share of the reference throughout, in step with it."""

from __future__ import annotations

import numpy as np

from strapline.method.episodes.spans import Span
from strapline.method.episodes.view import View

# Below a minute, or where the heart hardly moves, a share and a number of beats are the same.
SHORTEST_S = 60
MOVED_BPM = 20.0
# So much of the error is left at most, with the share taken out.
LARGEST_SHARE_LEFT = 0.2


def in_step_percent(view: View, span: Span) -> float:
    """By what percent of the reference the device is off in `span`; NaN where no one share holds.

    The share must explain the error, and better than so many beats would.
    """
    inside = slice(*span)
    known = view.compared[inside]
    reference, device = view.reference_bpm[inside][known], view.device_bpm[inside][known]
    if reference.size < SHORTEST_S or np.ptp(reference) < MOVED_BPM:
        return np.nan
    share = device.mean() / reference.mean()
    error = device - reference
    left = np.abs(device - share * reference).mean()
    left_by_beats = np.abs(error - error.mean()).mean()
    holds = left <= LARGEST_SHARE_LEFT * np.abs(error).mean() and left < left_by_beats
    return float(100 * (share - 1)) if holds else np.nan
