"""Dashed lines: across a plot, as of a grid or a mean, and across a pause of the curve."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy import ndimage

# So many dashes make a dashed line; each is at most this share of the plot's side, and dashes, and
# the paper between them, differ by at most this factor.
_DASHES, _DASH, _ALIKE = 3, 0.05, 2.0
# So many in one row, or one column, over this share of the plot, and so thin in pixels, are no
# curve.
_STRAIGHT, _ACROSS, _THIN = 5, 0.3, 9
# A level dash is so much longer than it is high.
_LEVEL = 2
# JPEG blurs dashes: of the strongest they have this share, and reach so many rows further.
_CORE, _AROUND = 0.4, 2


def straight(places: Sequence[tuple[slice, ...] | None], shape: tuple[int, int]) -> list[int]:
    """Which places in a plot of this shape, numbered from 1, are dashes of a straight line along
    its rows or columns."""
    numbers = [number for number, place in enumerate(places, 1) if place is not None]
    bounds = np.array([[(side.start, side.stop) for side in places[n - 1] or ()] for n in numbers])
    found: set[int] = set()
    for across, along in ((0, 1), (1, 0)) if numbers else ():
        sizes = bounds[:, :, 1] - bounds[:, :, 0]
        is_dash = (sizes[:, across] <= _THIN) & (sizes[:, along] <= _DASH * shape[along])
        middles = bounds[:, across].mean(axis=1)
        for middle in np.unique(middles[is_dash]):
            own = is_dash & (np.abs(middles - middle) <= 1)
            if own.sum() >= _STRAIGHT and np.ptp(bounds[own, along]) >= _ACROSS * shape[along]:
                found.update(np.array(numbers)[own].tolist())
    return sorted(found)


def beside_more(strength: np.ndarray, least: float) -> np.ndarray:
    """A mask of what is drawn, by strength, shape (height, width), and least strength, and belongs
    to dashed level lines, where there is something else in its column."""
    drawn = strength > least
    labels, _ = ndimage.label(strength > max(least, _CORE * strength.max()), np.ones((3, 3), int))
    places = ndimage.find_objects(labels)
    in_rows = np.zeros(drawn.shape[0], bool)
    for number in straight(places, drawn.shape):
        rows, columns = places[number - 1]
        if columns.stop - columns.start >= _LEVEL * (rows.stop - rows.start):
            in_rows[rows] = True
    in_rows = ndimage.binary_dilation(in_rows, iterations=_AROUND)
    upright, _ = ndimage.label(drawn, [[0, 1, 0], [0, 1, 0], [0, 1, 0]])
    goes_on = np.unique(upright[~in_rows])
    has_more = (drawn & ~in_rows[:, None]).any(axis=0)
    dashes: np.ndarray = drawn & ~np.isin(upright, goes_on) & has_more
    return dashes


def bridging(rows: np.ndarray) -> np.ndarray:
    """A mask of the columns, of a curve's rows, of dashed lines as they go across a pause, and of
    as much of what they touch as a dash is long."""
    steps = np.diff(np.concatenate([[0], (~np.isnan(rows)).astype(np.int8), [0]]))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    doubted = np.zeros(rows.shape, bool)
    for first, last in _series(ends - starts <= _DASH * rows.size):
        dash = ends[first:last] - starts[first:last]
        paper = starts[first + 1 : last] - ends[first : last - 1]
        if dash.size < _DASHES or not (_are_alike(dash) and _are_alike(paper)):
            continue
        reach = int(dash.max() + _ALIKE * paper.max())
        doubted[max(starts[first] - reach, 0) : ends[last - 1] + reach] = True
    doubted &= ~np.isnan(rows)
    return doubted


def _are_alike(lengths: np.ndarray) -> bool:
    return bool(lengths.max() <= _ALIKE * lengths.min())


def _series(is_short: np.ndarray) -> list[tuple[int, int]]:
    bounds = np.flatnonzero(np.diff(np.concatenate([[0], is_short.astype(np.int8), [0]])))
    return [(int(first), int(last)) for first, last in list(pairwise(bounds))[::2]]
