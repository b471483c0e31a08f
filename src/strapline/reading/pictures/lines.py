"""Long straight lines in a picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

# A neighbour that differs by so much of 255 is across an edge; JPEG at quality 70 stays below
# where nothing is drawn.
_EDGE = 8
# Along one edge of a line colours go the same way, by so much of what is usual there.
_ALIKE = 0.3
# Over so many pixels dashes, or a curve that crosses, leave a line whole; and what share of a line
# is there at least, on the whole and at its ends, where the labels of an axis may follow.
_BRIDGED, _LEAST_THERE, _AT_ENDS, _END = 25, 0.4, 0.7, 16
# What share of a picture’s shorter side a line of the plot has at least.
_SHORTEST = 0.3
# The two edges of a line, and what boxes around one plot may differ by.
_THICKEST, _SAME = 8, 1.5


@dataclass(frozen=True)
class Box:
    """The edges of a plot in pixels, by the middle of each, from the picture's upper left."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    def is_like(self, other: Box, by: float = _SAME) -> bool:
        own, its = (self.x0, self.y0, self.x1, self.y1), (other.x0, other.y0, other.x1, other.y1)
        return all(abs(one - two) <= by for one, two in zip(own, its, strict=True))


@dataclass(frozen=True)
class Line:
    """A straight line at `at`, from `start` to `end` along it; `weight` is how far its colour is
    from what is beside it."""

    at: float
    start: float
    end: float
    weight: float

    def is_along(self, other: Line) -> bool:
        """Whether most of the longer is beside the other."""
        shared = min(self.end, other.end) - max(self.start, other.start)
        return shared >= 0.7 * max(self.end - self.start, other.end - other.start)


def lines(pixels: np.ndarray) -> list[Line]:
    """The lines along the rows of a picture, from above."""
    steps = np.diff(pixels.astype(np.int16), axis=0)
    edges = np.abs(steps).max(axis=2) > _EDGE
    least = _SHORTEST * min(pixels.shape[:2])
    bounds: list[Line] = []
    for row in np.flatnonzero(edges.sum(axis=1) >= _LEAST_THERE * least):
        usual = np.median(steps[row][edges[row]], axis=0)
        weight = float(np.abs(usual).max())
        if not weight:
            continue
        alike = steps[row] @ usual >= _ALIKE * (usual @ usual)
        start, end = _longest(edges[row] & alike, least)
        if end > start:
            bounds.append(Line(float(row) + 0.5, start, end - 1.0, weight))
    return _joined(bounds)


def _longest(edge: np.ndarray, least: float) -> tuple[int, int]:
    """From where to where the longest edge goes, shape (n,); nowhere where it is short or thin."""
    padded = np.pad(edge, _BRIDGED)
    closed = ndimage.binary_closing(padded, np.ones(_BRIDGED, bool))[_BRIDGED:-_BRIDGED]
    steps = np.diff(np.concatenate([[0], closed.astype(np.int8), [0]]))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    if not starts.size:
        return 0, 0
    longest = int(np.argmax(ends - starts))
    start, end = int(starts[longest]), int(ends[longest])
    if end - start < max(least, _END) or edge[start:end].mean() < _LEAST_THERE:
        return 0, 0
    there = np.convolve(edge[start:end], np.ones(_END), "valid") / _END
    solid = np.flatnonzero((there >= _AT_ENDS) & edge[start : end - _END + 1])
    from_end = np.flatnonzero((there >= _AT_ENDS) & edge[start + _END - 1 : end])
    if not solid.size or not from_end.size:
        return start, end
    return start + int(solid[0]), start + int(from_end[-1]) + _END


def _joined(bounds: list[Line]) -> list[Line]:
    """Lines from their upper and lower bounds."""
    groups: list[list[Line]] = []
    for bound in bounds:
        near = [
            group
            for group in groups
            if bound.at - group[0].at <= _THICKEST and bound.is_along(group[-1])
        ]
        if near:
            near[-1].append(bound)
        else:
            groups.append([bound])
    return [line for group in groups for line in dict.fromkeys(_as_far(group))]


def _as_far(group: list[Line]) -> list[Line]:
    """As far as one bound of a line goes, beside which a curve may be filled; and as far as both
    do, for a tick may follow one."""
    at = float(np.average([bound.at for bound in group], weights=[b.weight for b in group]))
    weight = max(bound.weight for bound in group)
    starts, ends = [bound.start for bound in group], [bound.end for bound in group]
    return [
        Line(at, min(starts), max(ends), weight),
        Line(at, max(starts), min(ends), weight),
    ]
