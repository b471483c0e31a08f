"""Where the reference jumped away from devices that agree with each other.

That alone doubts no second: optical sensors fail alike too, and to doubt the reference because
devices disagree would favour what is to be judged by it. It is a question to who wore them, and it
tells how far a doubt reaches of which the reference's own signal gives the cause
(strapline.method.signal.reference_trial.doubting).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from strapline.ground.records.alignment import Alone

# Choices of ours. Devices agree when all are so near each other, and are apart from the reference
# when their middle one is so far from it.
AGREE_BPM, APART_BPM = 10.0, 20.0
SHORTEST_S, LONGEST_BETWEEN_S = 20, 60
# A heart does not change so much in so short a time; devices follow within some three times that.
JUMP_BPM, JUMP_S = 15.0, 5
# The reference jumped, and not the devices, where theirs was at most this part of its jump.
SMALLEST_PART = 1 / 3


def alone(reference_bpm: np.ndarray, devices_bpm: Sequence[np.ndarray]) -> tuple[Alone, ...]:
    """The stretches, in seconds from the first of the grid.

    reference_bpm, shape (n,), and each of devices_bpm, shape (n,): heart rates second by second,
    NaN where missing or left out; none of the devices copies another or the reference. At both
    ends of a stretch the reference jumps, or is lost, while the devices go on: that tells it from
    devices that are late, low or locked to a cadence together. At one of them it may be the first
    or the last second that can be compared in place of that, as where a strap is dry at first.
    """
    if len(devices_bpm) < 2:
        return ()
    devices = np.array(devices_bpm)
    several = np.isfinite(devices).sum(axis=0) >= 2
    held = np.where(several, devices, np.nan)[:, several]
    middle, spread = np.full((2, reference_bpm.size), np.nan)
    middle[several] = np.nanmedian(held, axis=0)
    spread[several] = np.nanmax(held, axis=0) - np.nanmin(held, axis=0)
    apart_bpm = np.abs(middle - reference_bpm)
    known = np.flatnonzero(np.isfinite(apart_bpm))
    found = []
    for places in _stretches(np.flatnonzero((spread <= AGREE_BPM) & (apart_bpm >= APART_BPM))):
        start, end = int(places[0]), int(places[-1]) + 1
        inner = [p for p in (start, end) if known[0] + JUMP_S < p <= known[-1] - JUMP_S]
        jumps = bool(inner) and all(_jumps(reference_bpm, middle, place) for place in inner)
        if places.size >= SHORTEST_S and jumps:
            away = float(np.median(middle[places] - reference_bpm[places]))
            spread_bpm = float(np.median(spread[places]))
            found.append(Alone(start_s=start, end_s=end, away_bpm=away, spread_bpm=spread_bpm))
    return tuple(found)


def _stretches(places: np.ndarray) -> list[np.ndarray]:
    """Places in ascending order, parted where there is too much between two."""
    parts = np.split(places, np.flatnonzero(np.diff(places) > LONGEST_BETWEEN_S) + 1)
    return [part for part in parts if part.size]


def _jumps(reference: np.ndarray, middle: np.ndarray, place: int) -> bool:
    """Whether the reference changed there, and not the devices."""
    jump_bpm = _changed(reference, place)
    devices_bpm = _changed(middle, place, lost=0.0)
    return jump_bpm >= JUMP_BPM and devices_bpm <= SMALLEST_PART * jump_bpm


def _changed(rate: np.ndarray, place: int, lost: float = np.inf) -> float:
    """By how much at most a rate changes within a few seconds around a place, in bpm; `lost` where
    it is missing there."""
    around = rate[max(place - JUMP_S, 0) : place + JUMP_S]
    return float(np.ptp(around)) if np.isfinite(around).all() and around.size else lost
