"""Columns in which what was read does not account for what is drawn."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.background import ALIKE
from strapline.reading.pictures.candidates import DRAWN, Runs
from strapline.reading.pictures.strokes import Line

# Where so much ink is left that a line does not explain, of the plot's height and in pixels, there
# is something else: half of it is what the line may be off, one beat a minute in most plots. A
# line's edges fade over so many pixels; and where it ends so many times as much is left.
_LEFT, _LEAST_LEFT, _FRINGE, _AT_ENDS = 1 / 40, 3.0, 2.0, 2.0
# A blot is so many times as wide as a line is thick; in at most this share of the columns.
_BLOT, _MOST_BLOTS = 3.5, 0.05
# A second line is in this share of the columns above the first, and below it.
_SECOND = 0.2
# What is so many times as high as a line is thick, or as far away, is no second line; nor is what
# covers fewer rows than so many, as a dot of a palette.
_BROAD, _THINNEST = 5.0, 2.0
# So many columns a line goes on for at least.
_SHORTEST = 2
# A notch of an area is so narrow, in columns, and so deep, of the plot's height and in pixels.
_NARROW, _DEEP, _LEAST_DEEP = 3, 1 / 40, 6.0
# A colour is an area's that has this share of it, or of its edge; and a label's that the strongest
# of so many pixels have where no area is. A label is so high, of the plot's height, stands so many
# rows on the area, and its outline reaches so many columns further.
_OWN, _OF_EDGE, _OF_LABELS = 0.01, 0.05, 3
_LABEL, _STANDS, _OUTLINE = 0.1, 3, 2
# Shades of red, green or blue this close are counted as one.
_SHADE = 16.0


def unexplained(line: Line, runs: Runs, height: int) -> np.ndarray:
    """A mask of the columns in which more is drawn than a line leaves, or its end."""
    around = Line.along(line.rows, line.thick + 2 * _FRINGE)
    left = np.fmax(around.upper - runs.top, runs.bottom - around.lower)
    reach = 2 * round(line.thick / 2 + _FRINGE) + 1
    drawn = np.pad(runs.top >= 0, reach)
    goes_on = ndimage.binary_erosion(drawn, np.ones(reach, bool))[reach:-reach]
    most = max(_LEAST_LEFT, _LEFT * height) * np.where(goes_on, 1, _AT_ENDS)
    more: np.ndarray = runs.has_one & (left > most)
    return more


def blotted(runs: Runs, height: int, thick: float) -> np.ndarray:
    """A mask of the columns of blots and rings that are far wider than a line is thick, as a marker
    of its highest value is; where there are few."""
    rows = np.arange(height)[:, None]
    own = (rows >= runs.top) & (rows <= runs.bottom) & (runs.top >= 0)
    wide = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1].max(axis=0)
    wide[wide <= _BLOT * thick / 2] = 0
    blots = np.zeros(wide.shape, bool)
    for column in np.flatnonzero(wide):
        reach = int(wide[column])
        blots[max(column - reach, 0) : column + reach + 1] = True
    return blots if blots.mean() <= _MOST_BLOTS else np.zeros(wide.shape, bool)


def second_line(strength: np.ndarray, rows: np.ndarray, thick: float) -> float:
    """In which share of the columns something thin of the line's colour is on one side of it, now
    above and now below, as a second line is: a shadow is on one side, a glow and a band on both."""
    read = np.flatnonzero(~np.isnan(rows))
    if not read.size:
        return 0.0
    whole = np.interp(np.arange(rows.size), read, rows[read], left=np.nan, right=np.nan)
    around = Line.along(whole, thick + 2 * _FRINGE)
    places = np.arange(strength.shape[0])[:, None]
    above, below = (
        _thin(np.where(is_beyond, strength, 0), thick)
        for is_beyond in (
            (places < around.upper) & (places > around.upper - _BROAD * thick),
            (places > around.lower) & (places < around.lower + _BROAD * thick),
        )
    )
    shares = (above & ~below).mean(), (below & ~above).mean()
    return float(sum(shares)) if min(shares) > max(_SECOND, (above & below).mean()) else 0.0


def _thin(strength: np.ndarray, thick: float) -> np.ndarray:
    """A mask of the columns in which something is drawn that is not far higher than a line."""
    broad = ndimage.grey_opening(strength, (int(_BROAD * thick) + 1, 1))
    thin: np.ndarray = (strength - broad > DRAWN).sum(axis=0) >= max(_THINNEST, thick / 3)
    return thin


def islands(rows: np.ndarray) -> np.ndarray:
    """A mask of what was read between columns that were not, in too few columns for a line."""
    read = ~np.isnan(rows)
    short: np.ndarray = read & ~ndimage.binary_opening(read, np.ones(_SHORTEST, bool))
    return short


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


def hidden(strength: np.ndarray, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A mask of the columns between others that were read in which something else is drawn where
    the curve may go on, by a row up or down for each column away from them; and from which row to
    which. Strength is that of all that is drawn."""
    read = np.flatnonzero(~np.isnan(rows))
    mask, tops, bottoms = np.zeros(rows.size, bool), rows.copy(), rows.copy()
    if not read.size:
        return mask, tops, bottoms
    upright, _ = ndimage.label(strength > DRAWN, [[0, 1, 0], [0, 1, 0], [0, 1, 0]])
    between = np.interp(np.arange(rows.size), read, rows[read])
    away = ndimage.distance_transform_edt(np.isnan(rows))
    for column in np.flatnonzero(np.isnan(rows)[: read[-1]]):
        first = max(int(between[column] - away[column]), 0)
        near = upright[first : int(between[column] + away[column]) + 1, column]
        if column > read[0] and near.any():
            own = np.flatnonzero(np.isin(upright[:, column], near[near > 0]))
            mask[column], tops[column], bottoms[column] = True, own[0], own[-1]
    return mask, tops, bottoms


def touching(mask: np.ndarray, rows: np.ndarray, thick: float) -> np.ndarray:
    """In which columns something of a mask, shape (height, columns), is at a line, or beside it."""
    reach = thick / 2 + _FRINGE
    beside: np.ndarray = (mask & (np.abs(np.arange(len(mask))[:, None] - rows) <= reach)).any(
        axis=0
    )
    return beside


def topped(difference: np.ndarray, runs: Runs) -> np.ndarray:
    """A mask of the columns in which something stands on an area that has the colour of what is
    drawn elsewhere, as a label has, and none of the area's; difference as for `ink`."""
    columns = np.flatnonzero(runs.has_one)
    rows = np.arange(difference.shape[0])[:, None]
    inside = (rows >= runs.top) & (rows <= runs.bottom) & runs.has_one
    within = int(_LABEL * difference.shape[0])
    deep = np.minimum(runs.top[columns] + np.arange(within)[:, None], runs.bottom[columns])
    upper = difference[deep, columns]
    own = np.concatenate(
        [
            _colours(difference[inside], _OWN * inside.sum()),
            _colours(upper[: _STANDS + 1].reshape(-1, 3), _OF_EDGE * columns.size),
        ]
    )
    strength = np.linalg.norm(difference, axis=2)
    is_peak = (strength > DRAWN) & (strength >= ndimage.maximum_filter(strength, 3))
    labels = _colours(difference[is_peak & ~inside], _OF_LABELS)
    solid = ndimage.binary_opening(_is_any(upper, own), np.ones((_STANDS, 1), bool))
    edge = np.where(solid.any(axis=0), solid.argmax(axis=0), within)
    row = runs.top[columns] + edge
    moves = np.abs(np.diff(row))
    steps = np.maximum(np.append(moves, 0), np.insert(moves, 0, 0))
    above = np.arange(within)[:, None] < edge
    is_label = (_is_any(upper, labels) & above).any(axis=0)
    stands = np.zeros(runs.top.shape, bool)
    stands[columns] = is_label & (edge > _STANDS + steps)
    return ndimage.binary_dilation(stands, iterations=_OUTLINE) & (runs.top >= 0)


def _colours(pixels: np.ndarray, least: float) -> np.ndarray:
    """Those that at least so many pixels, shape (n, 3), have; shape (colours, 3)."""
    values, counts = np.unique(np.round(pixels / _SHADE), axis=0, return_counts=True)
    common: np.ndarray = values[counts >= least] * _SHADE
    return common


def _is_any(pixels: np.ndarray, colours: np.ndarray) -> np.ndarray:
    """A mask of the pixels, shape (..., 3), that are alike one of some colours."""
    alike = np.zeros(pixels.shape[:-1], bool)
    for colour in colours:
        alike |= np.linalg.norm(pixels - colour, axis=-1) < ALIKE
    return alike
