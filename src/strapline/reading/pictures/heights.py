"""How high a curve is in each column of its plot, finer than a pixel, by intensity."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.reading.pictures.candidates import Runs

# An area reaches the plot's lower edge, or so much of its height where it fades.
_AREA, _AT_EDGE = 0.15, 4
_FADES = 0.1
# A stroke on an area, and how deep below its upper edge it is looked for, of the height.
_DEEPEST, _DEEP, _SHALLOWEST = 30, 0.1, 8
# It is as thick, by this share of it or so many pixels, in most of the columns.
_AS_THICK, _LEAST_ALIKE, _EVERYWHERE = 0.5, 2.0, 0.7
# Whether it is, is seen from so many columns to the next.
_ON = 8
# So far of 255 its colour is from the area's: JPEG at quality 60 leaves half of that at an edge.
_STROKE = 50.0
# So many rows below tell the area's colour.
_BELOW = 4
# What JPEG leaves around a line.
_NOISE = 8.0
# Rows beside a run in which it still shows.
_BESIDE = 2
# An edge is where this share of a row is covered.
_HALF = 0.5
# Rows beyond those, by which what shines around a line is told.
_BASE = 4


@dataclass(frozen=True)
class Ink:
    """Where a curve's ink is in each column, shape (columns,) each, in rows; NaN where there is
    none, or two: its middle, or an area's upper edge; and a line's upper and lower edges."""

    middles: np.ndarray
    upper: np.ndarray
    lower: np.ndarray


def ink(difference: np.ndarray, runs: Runs) -> Ink:
    """The curve's ink in each column.

    difference: by red, green and blue from the background, shape (height, width, 3). Of a line it
    is the middle; of an area the middle of its stroke, or its upper edge where it has none.
    """
    found, upper, lower = np.full((3, *runs.top.shape), np.nan)
    columns = np.flatnonzero(runs.has_one)
    area = is_area(runs, difference.shape[0])
    stroke = _stroke(difference, runs) if area else 0
    steps = _steps(runs)
    if area and not stroke:
        for column in columns:
            top, step = int(runs.top[column]), int(steps[column])
            found[column] = _upper_edge(difference[:, column], top, step)
        return Ink(found, upper, lower)
    for column in columns:
        own, top = difference[:, column], int(runs.top[column])
        if stroke:
            rows, shares = _of_stroke(own, top, stroke, int(steps[column]))
        else:
            rows, shares = _of_line(own, top, int(runs.bottom[column]))
        if shares.any():
            found[column] = np.average(rows, weights=shares)
            upper[column] = rows[0] + _half(shares)
            lower[column] = rows[-1] - _half(shares[::-1])
    return Ink(found, upper, lower)


def is_area(runs: Runs, height: int) -> bool:
    """Whether most columns reach the lower edge, or are tall and end in one row, where an area
    fades: a line is tall too where it goes up or down."""
    one = runs.has_one
    reaches, ends = _feet(runs, height)
    tall = runs.bottom - runs.top > _AREA * height
    return bool(np.mean((reaches | (ends & tall))[one]) > 0.5)


def hanging(runs: Runs, height: int) -> np.ndarray:
    """A mask of the columns in which what is drawn ends above the foot of an area: a label, or a
    line of the grid, where the area is too faint to be seen."""
    reaches, ends = _feet(runs, height)
    hangs: np.ndarray = runs.has_one & ~reaches & ~ends
    return hangs


def _feet(runs: Runs, height: int) -> tuple[np.ndarray, np.ndarray]:
    """Masks of the columns that reach the lower edge, and that end about where most do."""
    reaches = runs.bottom >= height - 1 - _AT_EDGE
    usual = np.median(runs.bottom[runs.has_one]) if runs.has_one.any() else height
    ends: np.ndarray = np.abs(runs.bottom - usual) <= _FADES * height
    return reaches, ends


def _half(shares: np.ndarray) -> float:
    """After how many rows half of one is covered."""
    first = int(np.argmax(shares >= _HALF * shares.max()))
    before = shares[first - 1] if first else 0.0
    return first - float((shares[first] - _HALF * shares.max()) / (shares[first] - before))


def _strength(difference: np.ndarray) -> np.ndarray:
    strength: np.ndarray = np.linalg.norm(difference, axis=-1)
    return strength


def _of_line(own: np.ndarray, top: int, bottom: int) -> tuple[np.ndarray, np.ndarray]:
    """Rows about a line, and how much of each it covers beyond what shines around it, as a glow, a
    shadow or an area beneath does."""
    rows = np.arange(max(top - _BESIDE, 0), min(bottom + _BESIDE + 1, len(own)))
    strength = _strength(own)
    peak = float(strength[rows].max())
    above, below = (
        min(float(np.median(side)), peak / 2) if side.size else 0.0
        for side in (strength[: rows[0]][-_BASE:], strength[rows[-1] + 1 :][:_BASE])
    )
    beside = np.where(rows <= rows[strength[rows].argmax()], above, below) + _NOISE
    return rows, np.maximum(strength[rows] - beside, 0) / np.maximum(peak - beside, 1.0)


def _steps(runs: Runs) -> np.ndarray:
    """By how many rows the upper edge moves at each column."""
    apart = np.abs(np.diff(np.where(runs.has_one, runs.top, np.nan)))
    steps: np.ndarray = np.nan_to_num(np.fmax(np.append(apart, 0), np.insert(apart, 0, 0)))
    return steps


def _upper_edge(own: np.ndarray, top: int, step: int) -> float:
    """Where half of a column's pixels would be covered: by the coverage of those at the edge."""
    inside = min(top + 2 + step, len(own) - 1)
    full = float(np.median(_strength(own[inside : inside + 4])))
    first = max(top - _BESIDE, 0)
    covered = np.clip(_strength(own[first:inside]) / max(full, 1.0), 0, 1)
    return inside - 0.5 - float(covered[covered > 0.05].sum())


def _stroke(difference: np.ndarray, runs: Runs) -> int:
    """How thick the stroke along an area's upper edge is, in pixels; 0 where there is none."""
    deepest = int(min(_DEEPEST, _DEEP * difference.shape[0]))
    flat = runs.has_one & (_steps(runs) <= 1) & (runs.top + deepest < difference.shape[0])
    columns = np.flatnonzero(flat)
    if columns.size == 0 or deepest < _SHALLOWEST:
        return 0
    rows = runs.top[columns] + np.arange(deepest)[:, None]
    own = difference[rows, columns]
    # First close to the edge: deeper may be the next colour of an area that is filled by zones.
    depths = sorted({_SHALLOWEST, deepest // 2, deepest})
    tops = runs.top[columns]
    return next((thick for depth in depths if (thick := _thickness(own[:depth], tops))), 0)


def _thickness(own: np.ndarray, tops: np.ndarray) -> int:
    """Of what is along the edge and not further down, by columns, shape (depth, columns, 3), from
    their top rows; 0 where there is nothing, or it is not as thick everywhere, as one zone of an
    area is not."""
    depth = len(own)
    apart = _apart(own, own[-1])
    usual = np.median(apart, axis=1)
    peak = int(np.argmax(usual[: depth // 2]))
    if usual[peak] < _STROKE or usual[depth // 2 :].max() > 0.4 * usual[peak]:
        return 0
    each = (apart > 0.5 * usual[peak]).sum(axis=0)
    thick = max(int((usual > 0.5 * usual[peak]).sum()), 1)
    as_thick = np.abs(each - thick) <= max(_LEAST_ALIKE, _AS_THICK * thick)
    return thick if as_thick.mean() >= _EVERYWHERE and not _is_zone(tops, each) else 0


def _is_zone(tops: np.ndarray, thick: np.ndarray) -> bool:
    """Whether what is along an edge ends more often in one row, where a zone does, than it is as
    thick on, as a stroke is."""
    on = slice(_ON, None), slice(None, -_ON)
    changes, moves = (np.abs(of[on[0]] - of[on[1]]) for of in (thick, tops + thick))
    return bool((changes > moves).sum() > (changes < moves).sum())


def _apart(colours: np.ndarray, filled: np.ndarray) -> np.ndarray:
    """How far colours, shape (..., 3), are from all that an area's edge may be, between the
    background and the area."""
    size = np.maximum((filled**2).sum(axis=-1), 1.0)
    share = np.clip((colours * filled).sum(axis=-1) / size, 0, 1)
    return _strength(colours - share[..., None] * filled)


def _of_stroke(own: np.ndarray, top: int, thick: int, step: int) -> tuple[np.ndarray, np.ndarray]:
    """Rows about an area's stroke, and how much of each is neither background nor area."""
    end = min(top + math.ceil(step + thick * math.hypot(1, step)) + 3, len(own))
    filled = np.median(own[min(end, len(own) - _BELOW) :][:_BELOW], axis=0)
    rows = np.arange(max(top - _BESIDE, 0), end)
    apart = _apart(own[rows], filled)
    shares = np.clip(apart / max(float(apart.max()), 1.0), 0, 1)
    shares[shares < 0.1] = 0
    return rows, shares
