"""Peaks of a curve, as scipy.signal finds them, which takes a third of a second to import."""

import numpy as np


def local_peaks(values: np.ndarray, prominence: float, apart: int) -> np.ndarray:
    """Places of the peaks of `values`, shape (n,), without NaN; in rising order.

    A peak is higher than what is beside it; of a level one, the middle. Of peaks less than `apart`
    places from one another the highest counts; and it must rise by `prominence` above the higher
    of the lowest values on its two sides, up to where the curve is higher or ends.
    """
    tops = _tops(values)
    tops = tops[_apart(tops, values[tops], apart)]
    return np.array([top for top in tops if _prominence(values, top) >= prominence], int)


def _tops(values: np.ndarray) -> np.ndarray:
    if not values.size:
        return np.empty(0, int)
    steps = np.flatnonzero(values[1:] != values[:-1])
    first, last = np.append(0, steps + 1), np.append(steps, values.size - 1)
    level = values[first]
    higher = (level[1:-1] > level[:-2]) & (level[1:-1] > level[2:])
    middle: np.ndarray = (first[1:-1][higher] + last[1:-1][higher]) // 2
    return middle


def _apart(places: np.ndarray, heights: np.ndarray, apart: int) -> np.ndarray:
    """Which are kept, the highest first."""
    kept = np.ones(places.size, bool)
    for highest in np.argsort(heights)[::-1]:
        if kept[highest]:
            near = np.abs(places - places[highest]) < apart
            near[highest] = False
            kept &= ~near
    return kept


def _prominence(values: np.ndarray, top: int) -> float:
    higher = np.flatnonzero(values > values[top])
    after = int(np.searchsorted(higher, top))
    first = higher[after - 1] if after > 0 else 0
    last = higher[after] if after < higher.size else values.size
    return float(values[top] - max(values[first : top + 1].min(), values[top:last].min()))
