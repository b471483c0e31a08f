"""Columns in which what was read does not account for what is drawn."""

from __future__ import annotations

import numpy as np

from strapline.reading.pictures.candidates import Runs

# What is drawn in a column is so much higher than its line would be, of the plot's height and in
# pixels: half of it is what the line may be off, one beat a minute in most plots.
_HIGHER, _LEAST_HIGHER = 1 / 40, 3.0
# A notch of an area is so narrow, in columns, and so deep, of the plot's height and in pixels.
_NARROW, _DEEP, _LEAST_DEEP = 3, 1 / 40, 6.0


def higher_than_a_line(rows: np.ndarray, runs: Runs, height: int) -> np.ndarray:
    """A mask of the columns in which a run is higher than a line through the rows, shape (n,), is:
    there is something else in it, or a stroke goes straight up."""
    heights = np.where(runs.has_one, runs.bottom - runs.top + 1.0, np.nan)
    apart = np.abs(np.diff(rows))
    before, after = np.insert(apart, 0, np.nan), np.append(apart, np.nan)
    is_level = np.fmax(before, after) < 1
    usual = heights[is_level] if is_level.any() else heights
    thick = float(np.nanmedian(usual)) if np.isfinite(usual).any() else 1.0
    slope = np.nan_to_num(np.fmin(before, after))
    expected = slope + thick * np.hypot(1, slope)
    higher: np.ndarray = heights - expected > max(_LEAST_HIGHER, _HIGHER * height)
    return higher


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
