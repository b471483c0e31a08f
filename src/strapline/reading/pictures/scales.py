"""Lines by which a plot may be where it has no frame: evenly spaced ones, and two axes."""

from __future__ import annotations

import numpy as np

from strapline.reading.pictures.lines import Box, Line

# So many lines are evenly spaced, by pixels, and as long; nearer ones are edges of one line. A
# curve along it may hide one of them.
_LEAST, _EVEN, _AS_LONG, _NEAR, _HIDDEN = 3, 2.0, 4.0, 10.0, 1


def even_boxes(level: list[Line], upright: list[Line], tick: float) -> list[Box]:
    """From the first to the last of each series of level lines, as far as they go, or to the axis
    that is so near their ends, beyond which there are ticks."""
    boxes = [
        Box(
            _axis(start, upright, first, last, tick),
            first,
            _axis(end, upright, first, last, tick),
            last,
        )
        for first, last, start, end in _series(level)
    ]
    return sorted(boxes, key=lambda box: (box.y0, box.x0))


def boxes_at_axes(level: list[Line], upright: list[Line], tick: float) -> list[Box]:
    """As far as two lines go that meet at the lower left, but for ticks."""
    return [
        Box(left.at, left.start, bottom.end, bottom.at)
        for left in upright
        for bottom in level
        if abs(left.end - bottom.at) <= tick and abs(bottom.start - left.at) <= tick
    ]


def _axis(at: float, upright: list[Line], first: float, last: float, tick: float) -> float:
    near = [
        line.at
        for line in upright
        if abs(line.at - at) <= tick
        and (last - first) / 2 <= line.end - line.start
        and abs(line.start - first) <= tick
        and line.end <= last + tick
    ]
    return min(near, key=lambda axis: abs(axis - at), default=at)


def _series(lines: list[Line]) -> list[tuple[float, float, float, float]]:
    """The first and the last of each series, and where its lines start and end."""
    found, left = [], list(lines)
    while series := max((_longest(line, left) for line in left), key=len, default=[]):
        ends = [
            np.median([line.start for line in series]),
            np.median([line.end for line in series]),
        ]
        first, last = series[0].at, series[-1].at
        found.append((first, last, float(ends[0]), float(ends[1])))
        left = [
            line
            for line in left
            if not (first - _EVEN <= line.at <= last + _EVEN and _is_as_long(line, series[0]))
        ]
    return found


def _longest(first: Line, lines: list[Line]) -> list[Line]:
    """The longest series that begins with a line; empty if that is none."""
    alike = [line for line in lines if line.at >= first.at and _is_as_long(line, first)]
    best: list[Line] = []
    for second in alike:
        step, series, misses = second.at - first.at, [first], 0
        while step > _NEAR and misses <= _HIDDEN:
            at = series[-1].at + step * (1 + misses)
            near = [line for line in lines if _is_part(line, first, at)]
            misses = 0 if near else misses + 1
            series += near[:1]
        best = max(best, series, key=len)
    return best if len(best) >= _LEAST else []


def _is_part(line: Line, first: Line, at: float) -> bool:
    """Whether a line is the one of a series that is at its place; a curve may cover an end of it,
    or a label."""
    starts, ends = line.start >= first.start - _AS_LONG, line.end <= first.end + _AS_LONG
    return abs(line.at - at) <= _EVEN and starts and ends


def _is_as_long(one: Line, other: Line) -> bool:
    return max(abs(one.start - other.start), abs(one.end - other.end)) <= _AS_LONG
