"""Where a line of some thickness goes, by the ink that it leaves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.heights import Ink

# Where it turns a line covers more rows than its slope tells: how thick it is, is one of these
# quantiles of what they tell, or what it covers where it is as level as this, in rows a column.
_THICK, _LEVEL = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6), 0.5
# Between two columns a line is looked at in so many places: a steep one moves far.
_FINE = 8
# Where an edge is in its column is not known finer: so much thinner is the pen that fits into it.
_LOOSE = 0.4
# Bounds are none where the upper one is so many rows below the lower; and where they are so many
# rows apart, the line is anywhere between them, for all that its column shows.
_CROSSED, _APART = 1.5, 1.5
# Where it turns that explains the ink so much better than its middles do: a marker has no side.
_CLEARLY = 0.85
# So many rows of ink that a line does not explain are as bad as more: something else is there.
_MOST_OFF = 6.0


@dataclass(frozen=True)
class Line:
    """The rows of a line, shape (n,), NaN where there is no ink; how thick it is; and the edges of
    the ink that it leaves."""

    rows: np.ndarray
    thick: float
    upper: np.ndarray
    lower: np.ndarray

    @classmethod
    def along(cls, rows: np.ndarray, thick: float) -> Line:
        return cls(rows, thick, _edge(rows, thick / 2), -_edge(-rows, thick / 2))

    def off(self, ink: Ink) -> np.ndarray:
        """How many rows of ink in each column, shape (n,), it does not explain, or lacks."""
        above, below = np.abs(self.upper - ink.upper), np.abs(self.lower - ink.lower)
        capped: np.ndarray = np.nan_to_num(np.fmin(above, _MOST_OFF) + np.fmin(below, _MOST_OFF))
        return capped


def followed(ink: Ink) -> Line:
    """The line that explains the ink best.

    A round pen that draws it is everywhere within the ink, so that the line is between two bounds.
    Where these are apart it goes straight up or down, or turns, in any of some ways.
    """
    lines = [_followed_by(thick, ink) for thick in _thicknesses(ink)]
    return min(lines, key=lambda line: line.off(ink).sum(), default=Line.along(ink.middles, 1.0))


def _followed_by(thick: float, ink: Ink) -> Line:
    pen = max(thick / 2 - _LOOSE, 0.0)
    highest, lowest = -_edge(-ink.upper, pen), _edge(ink.lower, pen)
    is_bounded = (highest - lowest <= _CROSSED) & ~np.isnan(ink.middles)
    between = (highest + lowest) / 2
    bounds = np.minimum(highest, between), np.maximum(lowest, between)
    rows = np.where(is_bounded, np.clip(ink.middles, *bounds), ink.middles)
    steep = np.hypot(1, np.pad((ink.middles[2:] - ink.middles[:-2]) / 2, 1))
    loose, _ = ndimage.label(is_bounded & (lowest - highest > _APART + 2 * _LOOSE * steep))
    turns = -_edge(-ink.upper, thick / 2), _edge(ink.lower, thick / 2)
    turns = np.clip(turns[0], *bounds), np.clip(turns[1], *bounds)
    ways = [Line.along(way, thick) for way in _ways(rows, turns, loose, thick, ink)]
    off = [way.off(ink) for way in ways]
    reach, best = int(np.ceil(thick / 2)), rows.copy()
    for (own,) in ndimage.find_objects(loose):
        near = slice(max(own.start - reach, 0), own.stop + reach)
        left = [each[near].sum() for each in off]
        if min(left) < _CLEARLY * left[0]:
            best[own] = ways[int(np.argmin(left))].rows[own]
    return Line.along(best, thick)


def _ways(
    rows: np.ndarray,
    bounds: tuple[np.ndarray, np.ndarray],
    loose: np.ndarray,
    thick: float,
    ink: Ink,
) -> Iterator[np.ndarray]:
    """Along the middles, at the upper bound, at the lower, at that on whose side alone they leave
    ink; and as before to the middle of a loose stretch, then as after."""
    yield rows
    for bound in bounds:
        yield np.where(loose > 0, bound, rows)
    line = Line.along(rows, thick)
    above, below = line.upper - ink.upper, ink.lower - line.lower
    turned = np.select([above > 2 * np.fmax(below, 1), below > 2 * np.fmax(above, 1)], bounds, rows)
    yield np.where(loose > 0, turned, rows)
    stepped = rows.copy()
    for (own,) in ndimage.find_objects(loose):
        if own.start > 0 and own.stop < rows.size:
            before, after = rows[own.start - 1], rows[own.stop]
            place = np.sign(2 * np.arange(own.stop - own.start) + 1 - (own.stop - own.start))
            stepped[own] = np.choose(place.astype(int) + 1, [before, (before + after) / 2, after])
    yield stepped


def _thicknesses(ink: Ink) -> list[float]:
    """What the thickness of a line may be, across it, in pixels; none where there is no line."""
    covered = (ink.lower - ink.upper)[1:-1]
    slopes = (ink.middles[2:] - ink.middles[:-2]) / 2
    across = covered / np.hypot(1, slopes)
    across, level = across[~np.isnan(across)], covered[np.abs(slopes) < _LEVEL]
    if not across.size:
        return []
    level = level[~np.isnan(level)] if level.size else across
    return [*np.quantile(across, _THICK).tolist(), float(np.median(level))]


def _edge(rows: np.ndarray, radius: float) -> np.ndarray:
    """The upper edge that a pen leaves along rows, shape (n,); NaN where there are none near."""
    steps = np.arange(_FINE)[:, None] / _FINE
    following = np.append(rows[1:], np.nan)
    between = np.where(steps == 0, rows, (1 - steps) * rows + steps * following)
    reach = int(radius * _FINE)
    fine = np.pad(between.T.ravel(), reach, constant_values=np.nan)
    edge = np.full(rows.shape, np.nan)
    for step in range(-reach, reach + 1):
        above = np.sqrt(radius**2 - (step / _FINE) ** 2)
        edge = np.fmin(edge, fine[reach + step :: _FINE][: rows.size] - above)
    return edge
