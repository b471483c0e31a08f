"""Long straight lines in a picture, and the plots that they frame."""

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
# What share of a picture's side a line of the plot has at least.
_SHORTEST = 0.3
# The two edges of a line, and what two lines may differ by that go equally far.
_THICKEST, _SAME = 8, 4
# Where corners are round lines end so far from where they would meet, and so far do ticks go beyond
# an axis, as shares of a picture's shorter side.
_CORNER, _TICK = 0.1, 0.03


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

    def holds(self, other: Box) -> bool:
        inside = self.x0 <= other.x0 + _SAME and self.y0 <= other.y0 + _SAME
        return inside and other.x1 <= self.x1 + _SAME and other.y1 <= self.y1 + _SAME


@dataclass(frozen=True)
class Line:
    """A straight line at `at`, from `start` to `end` along it; `weight` is how far its colour is
    from what is beside it."""

    at: float
    start: float
    end: float
    weight: float

    def is_beside(self, other: Line) -> bool:
        return abs(self.start - other.start) <= _SAME and abs(self.end - other.end) <= _SAME

    def is_along(self, other: Line) -> bool:
        """Whether most of the longer is beside the other."""
        shared = min(self.end, other.end) - max(self.start, other.start)
        return shared >= 0.7 * max(self.end - self.start, other.end - other.start)

    def meets(self, across: Line, corner: float) -> bool:
        return self.is_near(across.at, corner) and across.is_near(self.at, corner)

    def is_near(self, place: float, corner: float) -> bool:
        return self.start - corner <= place <= self.end + corner


def plots_in(pixels: np.ndarray) -> list[Box]:
    """The plots that lines of a picture frame: a frame, a grid, or two axes. Of one in another,
    the inner."""
    height, width = pixels.shape[:2]
    level, upright = _lines(pixels), _lines(pixels.transpose(1, 0, 2))
    boxes = [
        box
        for box in _boxes(level, upright, min(height, width))
        if box.width >= _SHORTEST * width and box.height >= _SHORTEST / 3 * height
    ]
    return [
        box
        for place, box in enumerate(boxes)
        if not any(box.holds(other) for other in boxes[:place] + boxes[place + 1 :])
    ]


def _lines(pixels: np.ndarray) -> list[Line]:
    """The lines along the rows of a picture, from above."""
    steps = np.diff(pixels.astype(np.int16), axis=0)
    edges = np.abs(steps).max(axis=2) > _EDGE
    least = _SHORTEST * pixels.shape[1]
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
    return [
        Line(
            float(np.average([b.at for b in group], weights=[b.weight for b in group])),
            max(bound.start for bound in group),
            min(bound.end for bound in group),
            max(bound.weight for bound in group),
        )
        for group in groups
    ]


def _boxes(level: list[Line], upright: list[Line], side: float) -> list[Box]:
    """Around each group of lines that meet, or lie beside each other from end to end."""
    left = [(line, True) for line in level] + [(line, False) for line in upright]
    boxes = []
    while left:
        flat: list[Line] = []
        steep: list[Line] = []
        at_edge = [left.pop()]
        while at_edge:
            line, is_level = at_edge.pop()
            (flat if is_level else steep).append(line)
            linked = [
                (other, its)
                for other, its in left
                if (line.is_beside(other) if its == is_level else line.meets(other, _CORNER * side))
            ]
            left = [each for each in left if each not in linked]
            at_edge += linked
        if len(flat) + len(steep) > 1:
            (x0, x1) = _limits(flat, steep, _TICK * side)
            (y0, y1) = _limits(steep, flat, _TICK * side)
            boxes.append(Box(x0, y0, x1, y1))
    return boxes


def _limits(along: list[Line], across: list[Line], tick: float) -> tuple[float, float]:
    """From where to where a plot goes: by its lines across, or by the ends of those along it where
    these go further than a tick does."""
    starts = [line.start for line in along] + [line.at for line in across]
    ends = [line.end for line in along] + [line.at for line in across]
    start, end = min(starts), max(ends)
    if across and min(line.at for line in across) <= start + tick:
        start = min(line.at for line in across)
    if across and max(line.at for line in across) >= end - tick:
        end = max(line.at for line in across)
    return start, end
