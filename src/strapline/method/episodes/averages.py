"""Averages and maxima of device and reference over the seconds at which they were compared, and how
far off the device was in each part of a session."""

from __future__ import annotations

import json

import numpy as np

from strapline.method.episodes.view import View

# Equal parts of a session, whatever its length.
PARTS = 40


def averages(view: View, spikes: np.ndarray) -> dict[str, float]:
    """What COURSES holds of averages and maxima. spikes: a mask of shape (n,)."""
    over = view.compared
    device = np.where(over, view.device_bpm, -np.inf)
    calm = view.device_bpm[over & ~spikes]
    return {
        "compared_s": int(over.sum()),
        "mean_reference_bpm": float(view.reference_bpm[over].mean()),
        "mean_device_bpm": float(view.device_bpm[over].mean()),
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
