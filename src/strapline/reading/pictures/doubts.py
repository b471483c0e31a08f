"""Columns in which what was read does not account for what is drawn."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.candidates import Runs

# What is drawn in a column is so much higher than its line would be, of the plot's height and in
# pixels: half of it is what the line may be off, one beat a minute in most plots.
_HIGHER, _LEAST_HIGHER = 1 / 40, 3.0
# A notch of an area is so narrow, in columns, and so deep, of the plot's height and in pixels.
_NARROW, _DEEP, _LEAST_DEEP = 3, 1 / 40, 6.0


def higher_than_a_line(rows: np.ndarray, runs: Runs, height: int) -> np.ndarray:
    """A mask of the columns in which a run is higher than a line through the rows, shape (n,), is:
    there is something else in it, or a stroke goes straight up, or up and down."""
    slope = np.nan_to_num(np.fmin(*_beside(rows)))
    expected = slope + _thickness(rows, runs) * np.hypot(1, slope)
    higher: np.ndarray = _heights(runs) - expected > max(_LEAST_HIGHER, _HIGHER * height)
    return higher


def stepped(rows: np.ndarray, runs: Runs, doubted: np.ndarray) -> np.ndarray:
    """The rows, shape (n,), with those of doubted columns in which nothing but a stroke goes up or
    down from the row before to the one after: to its middle it is still there, then here. NaN in
    the middle column, and where there is more."""
    thick, found = _thickness(rows, runs), np.where(doubted, np.nan, rows)
    stretches, _ = ndimage.label(doubted)
    for (own,) in ndimage.find_objects(stretches):
        first, last = own.start, own.stop
        if not (first > 0 and last < rows.size and last - first <= np.ceil(thick) + 1):
            continue
        before, after = found[first - 1], found[last]
        half = (last - first) // 2
        upper, lower = min(before, after) - thick / 2 - 1, max(before, after) + thick / 2 + 1
        if (runs.top[own] >= upper).all() and (runs.bottom[own] <= lower).all():
            found[first : first + half] = before
            found[last - half : last] = after
    return found


def _heights(runs: Runs) -> np.ndarray:
    heights: np.ndarray = np.where(runs.has_one, runs.bottom - runs.top + 1.0, np.nan)
    return heights


def _beside(rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How far each row is from the one before, and from the one after."""
    apart = np.abs(np.diff(rows))
    return np.insert(apart, 0, np.nan), np.append(apart, np.nan)


def _thickness(rows: np.ndarray, runs: Runs) -> float:
    """Of a line, in pixels, where it is level."""
    heights, is_level = _heights(runs), np.fmax(*_beside(rows)) < 1
    usual = heights[is_level] if is_level.any() else heights
    return float(np.nanmedian(usual)) if np.isfinite(usual).any() else 1.0


def notches(rows: np.ndarray, height: int) -> np.ndarray:
    """A mask of the columns in which an area's edge leaves its course and is back after so few
    columns that a line across the area makes them."""
    doubted = np.zeros(rows.shape, bool)
    read = np.flatnonzero(~np.isnan(rows))
    deep = max(_LEAST_DEEP, _DEEP * height)
    for wide in range(1, _NARROW + 1):
        first, last = read[: -wide - 1], read[wide + 1 :]
        for place in range(wide):
            own = rows[read[place + 1 : place + 1 + first.size]]
            away = np.minimum(np.abs(own - rows[first]), np.abs(own - rows[last]))
            same_way = (own > rows[first]) == (own > rows[last])
            near = last - first <= 2 * (_NARROW + 1)
            hit = same_way & near & (away > deep)
            doubted[read[place + 1 : place + 1 + first.size][hit]] = True
    return doubted
