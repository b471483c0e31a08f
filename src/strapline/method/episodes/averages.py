"""Averages and maxima of device and reference, over the same seconds for all devices, and how far
off each was in each part of a session."""

from __future__ import annotations

import json
from collections.abc import Mapping

import numpy as np

from strapline.method.episodes.view import View

# A device that has less than this of what the fullest has would leave nothing of the session.
LEAST_SHARE = 0.5
# Equal parts of a session, whatever its length.
PARTS = 40


def seconds_averaged(views: Mapping[str, View]) -> dict[str, np.ndarray]:
    """The seconds that each recording is averaged over, a mask of shape (n,) each.

    They are those at which all can be compared that have half of what the fullest has, if that
    leaves half; what has less is averaged over its own.
    """
    fullest = max((view.compared.sum() for view in views.values()), default=0)
    enough = {
        name: view.compared
        for name, view in views.items()
        if view.compared.sum() >= LEAST_SHARE * fullest
    }
    own = {name: view.compared for name, view in views.items()}
    shared = np.logical_and.reduce(list(enough.values())) if enough else np.zeros(0, dtype=bool)
    if shared.sum() < LEAST_SHARE * fullest:
        return own
    return own | dict.fromkeys(enough, shared)


def averages(view: View, over: np.ndarray, spikes: np.ndarray) -> dict[str, float]:
    """What COURSES holds of averages and maxima. over, spikes: masks of shape (n,)."""
    device = np.where(over, view.device_bpm, -np.inf)
    calm = view.device_bpm[over & ~spikes]
    return {
        "compared_s": int(view.compared.sum()),
        "averaged_s": int(over.sum()),
        "mean_reference_bpm": float(view.reference_bpm[over].mean()),
        "mean_device_bpm": float(view.device_bpm[over].mean()),
        "own_reference_bpm": float(view.reference_bpm[view.compared].mean()),
        "own_device_bpm": float(view.device_bpm[view.compared].mean()),
        "maximum_reference_bpm": float(view.reference_bpm[over].max()),
        "maximum_device_bpm": float(device.max()),
        "maximum_at_s": int(device.argmax()),
        "maximum_without_spikes_bpm": float(calm.max()) if calm.size else np.nan,
    }


def lag(view: View, without_delay: View | None, delay_s: float | None) -> dict[str, float | None]:
    """What COURSES holds of the error, and of how much of it a delay is."""
    left = without_delay.error_bpm if without_delay is not None else np.array([np.nan])
    known = delay_s is not None and not np.isnan(left).all()
    return {
        "error_bpm": float(np.nanmean(np.abs(view.error_bpm))),
        "delay_s": delay_s,
        "error_without_delay_bpm": float(np.nanmean(np.abs(left))) if known else np.nan,
    }


def outline(error_bpm: np.ndarray) -> str:
    """What COURSES holds of it, from device minus reference by second, shape (n,), NaN where not
    compared: of each part the least and the greatest in whole bpm, null where there is none."""
    parts = (part[~np.isnan(part)] for part in np.array_split(error_bpm, PARTS))
    ends = [
        [round(float(f(part))) for f in (np.min, np.max)] if part.size else None for part in parts
    ]
    return json.dumps(ends, separators=(",", ":"))
