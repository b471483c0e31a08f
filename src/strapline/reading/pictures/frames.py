"""Frames in a picture: four lines that meet at four corners, each whole from end to end."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from strapline.reading.pictures.background import ALIKE
from strapline.reading.pictures.lines import Box, Line, lines
from strapline.reading.pictures.scales import boxes_at_axes, even_boxes

# A line goes so far beyond a corner where a tick follows, and ends so far before it where corners
# are round, as shares of a picture's shorter side; and by so many pixels at a corner that is not.
_TICK, _CORNER, _SQUARE = 0.03, 0.1, 3.0
# Both sides of a round corner are as round: by so many pixels, or this share.
_AS_ROUND, _ROUND_SHARE = 4.0, 0.35
# How far around a line its colours are looked at, and how far of 255 it is from what is beside it.
_AROUND, _APART = 8, 8.0
# What JPEG leaves where two colours meet, as a share of what they differ by.
_RINGING = 0.2
# All parts of a side are at one place, but one that a curve may cover; and it is so thin: in
# pixels, and as a share of the plot.
_PARTS, _STRAIGHT, _THICKEST = 3, 0.5, 0.012
# In at most this share of a part it is not seen.
_UNSEEN = 0.6
# So many lines of a grid reach all sides of a plot.
_GRID = 2
# A plot has at least these shares of a picture's width and height.
_LEAST_WIDE, _LEAST_HIGH = 0.3, 0.1


@dataclass(frozen=True)
class Frame:
    """The box around a plot; whether lines of a grid both level and upright end at it; and whether
    its sides are drawn, and not where a colour begins, as that of a band behind a curve does."""

    box: Box
    has_grid: bool
    is_drawn: bool


@dataclass(frozen=True)
class _Side:
    at: float
    is_drawn: bool


@dataclass(frozen=True)
class Found:
    """Frames, and boxes of evenly spaced lines or at two axes."""

    frames: list[Frame]
    supposed: list[Box]


def found_in(pixels: np.ndarray) -> Found:
    """The frames in a picture, shape (height, width, 3), from the left."""
    level, upright = lines(pixels), lines(pixels.transpose(1, 0, 2))
    side = min(pixels.shape[:2])
    frames: list[Frame] = []
    for left, top, right, bottom in _rectangles(level, upright, side).values():
        wide, high = right.at - left.at, bottom.at - top.at
        if wide < _LEAST_WIDE * pixels.shape[1] or high < _LEAST_HIGH * pixels.shape[0]:
            continue
        turned = pixels.transpose(1, 0, 2)
        sides = [_side(turned, line, _THICKEST * wide) for line in (left, right)]
        sides += [_side(pixels, line, _THICKEST * high) for line in (top, bottom)]
        x0, x1, y0, y1 = (each.at for each in sides)
        box = Box(x0, y0, x1, y1)
        if np.isnan([x0, y0, x1, y1]).any() or any(box.is_like(other.box) for other in frames):
            continue
        has_grid = _has_grid(box, level, upright, _TICK * side)
        frames.append(Frame(box, has_grid, all(each.is_drawn for each in sides)))
    tick = _TICK * side
    at_axes = [
        box
        for box in boxes_at_axes(level, upright, tick)
        if box.width >= _LEAST_WIDE * pixels.shape[1]
        and box.height >= _LEAST_HIGH * pixels.shape[0]
        and not any(box.is_like(frame.box, tick) for frame in frames)
    ]
    supposed = [*even_boxes(level, upright, tick), *at_axes]
    return Found(sorted(frames, key=lambda frame: frame.box.x0), supposed)


def _rectangles(
    level: list[Line], upright: list[Line], side: int
) -> dict[tuple[float, ...], tuple[Line, Line, Line, Line]]:
    """Left, top, right and bottom of each, by where these are."""
    upper = [
        (left, top, right)
        for top in level
        for left in upright
        if _is_corner(top.start - left.at, left.start - top.at, side)
        for right in upright
        if right.at > left.at and _is_corner(right.at - top.end, right.start - top.at, side)
    ]
    return {
        (left.at, top.at, right.at, bottom.at): (left, top, right, bottom)
        for (left, top, right), bottom in product(upper, level)
        if bottom.at > top.at
        and _is_corner(bottom.start - left.at, bottom.at - left.end, side)
        and _is_corner(right.at - bottom.end, bottom.at - right.end, side)
    }


def _is_corner(along: float, across: float, side: int) -> bool:
    """Whether two lines meet that end so far before where they would cross."""
    if min(along, across) < -_TICK * side:
        return False
    if max(along, across) <= _SQUARE:
        return True
    most, least = max(along, across), min(along, across)
    return most <= _CORNER * side and most - least <= max(_AS_ROUND, _ROUND_SHARE * most)


def _side(pixels: np.ndarray, line: Line, thickest: float) -> _Side:
    """Where a line along the rows is, finer than a pixel; NaN where its parts differ, or
    are not seen."""
    first = max(round(line.at) - _AROUND, 0)
    around = pixels[first : round(line.at) + _AROUND + 1].astype(np.float32)
    margin = 0.05 * (line.end - line.start)
    parts = np.linspace(line.start + margin, line.end - margin, _PARTS + 1).astype(int)
    places, drawn = [], []
    for start, end in pairwise(parts):
        middles, is_drawn = _middles(around[:, start:end], max(thickest, _SQUARE))
        if np.isnan(middles).mean() <= _UNSEEN:
            places.append(first + float(np.nanmedian(middles)))
            drawn.append(is_drawn.mean() > 0.5)
    if len(places) < _PARTS - 1 or np.ptp(places) > _STRAIGHT:
        return _Side(np.nan, False)
    return _Side(float(np.median(places)), all(drawn))


def _middles(around: np.ndarray, thickest: float) -> tuple[np.ndarray, np.ndarray]:
    """Of each column, shape (rows, columns, 3): where its colours are neither those before nor
    those after the line, or where these meet; NaN where there is neither, or something else is
    near. And in which columns a line is drawn."""
    before, step = around[0], around[-1] - around[0]
    size = (step**2).sum(axis=1)
    share = np.clip(((around - before) * step).sum(axis=2) / np.maximum(size, 1.0), 0, 1)
    apart = np.linalg.norm(around - before - share[:, :, None] * step, axis=2)
    most = apart.max(axis=0)
    inked = np.where(apart > 0.1 * most, apart, 0).astype(float)
    rows = np.arange(len(around))[:, None]
    stroke = (inked * rows).sum(axis=0) / np.maximum(inked.sum(axis=0), 1e-9)
    stroke[inked.sum(axis=0) > thickest * most] = np.nan
    meeting = len(around) - 0.5 - share.sum(axis=0)
    is_slow = ((share > 0.1) & (share < 0.9)).sum(axis=0) > thickest
    meeting[(size < _APART**2) | is_slow] = np.nan
    is_drawn = most >= np.maximum(_APART, _RINGING * np.sqrt(size))
    strayed = np.linalg.norm(around[[2, -3]] - around[[0, -1]], axis=2).max(axis=0)
    middles = np.where(is_drawn, stroke, meeting)
    middles[strayed > ALIKE] = np.nan
    return middles, is_drawn


def _has_grid(box: Box, level: list[Line], upright: list[Line], tick: float) -> bool:
    across = [line for line in level if box.y0 + _SQUARE < line.at < box.y1 - _SQUARE]
    along = [line for line in upright if box.x0 + _SQUARE < line.at < box.x1 - _SQUARE]
    return (
        len({line.at for line in across if _reaches(line, box.x0, box.x1, tick)}) >= _GRID
        and len({line.at for line in along if _reaches(line, box.y0, box.y1, tick)}) >= _GRID
    )


def _reaches(line: Line, first: float, last: float, tick: float) -> bool:
    starts = first - tick <= line.start <= first + _SQUARE
    return starts and last - _SQUARE <= line.end <= last + tick
