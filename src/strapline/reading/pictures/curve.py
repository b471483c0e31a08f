"""From a picture of a screen to a heart rate for each column of its plot."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.reading.pictures.background import departure
from strapline.reading.pictures.candidates import DRAWN, runs_of
from strapline.reading.pictures.frames import found_in
from strapline.reading.pictures.heights import heights, is_area
from strapline.reading.pictures.lines import Box
from strapline.reading.pictures.unreadable import UncertainPlot, UnreadablePicture

# A frame hides so many columns and rows at each of its sides.
_FRAME = 2
# A pixel is of another colour that is so far, by the whole difference, from any mixture of the
# curve's and the background's.
_OTHER = 0.3
# Within this share of a plot's width a curve that fills it begins at its left, and ends at its
# right edge.
_AT_SIDE = 0.01
# Labels of an axis are so near its plot, in pixels; they are looked for within these shares of its
# width and height.
_BESIDE, _ASIDE, _ABOVE = 4, 0.1, 0.15
NO_PLOT = (
    "No plot was found in the picture: no frame, no grid and no axes. Say where it is under "
    "picture.area: [left, top, right, bottom], in pixels."
)
UNCERTAIN = (
    "It is not certain where the plot’s edges are in the picture, so nothing is read from it. Say "
    "where they are under picture.area: [left, top, right, bottom], in pixels; strapline picture "
    "FILE shows where they may be."
)


@dataclass(frozen=True)
class Curve:
    """A curve as it stands in a picture, in pixels.

    columns, rows
        Where it is, one a column of the plot, shape (n,); rows are NaN where it was not read.
    is_double
        A mask of the columns in which two candidates remained.
    """

    plot: Box
    columns: np.ndarray
    rows: np.ndarray
    is_double: np.ndarray


def curve_in(
    pixels: np.ndarray,
    area: tuple[float, float, float, float] | None = None,
    colour: tuple[int, int, int] | None = None,
) -> Curve:
    """The curve in a picture, pixels as from `pixels_of`.

    Raises UnreadablePicture, with a sentence, where there is no plot, none or two curves; and
    UncertainPlot where no area is stated and the picture does not confirm the plot's edges.
    """
    plot = _plot(pixels, area)
    x0, y0, inside = _inside(pixels, plot)
    difference = departure(inside)
    if colour is not None:
        difference = _of_colour(inside, difference, np.array(colour))
    runs = runs_of(np.linalg.norm(difference, axis=2))
    rows = heights(difference, runs) + y0
    return Curve(plot, np.arange(rows.size) + x0, rows, runs.is_double)


def _plot(pixels: np.ndarray, area: tuple[float, float, float, float] | None) -> Box:
    height, width = pixels.shape[:2]
    if area is not None:
        if area[2] > width - 1 or area[3] > height - 1:
            raise UnreadablePicture(
                f"picture.area goes beyond the picture, which has {width} by {height} pixels."
            )
        return Box(*area)
    found = found_in(pixels)
    certain = [
        frame.box
        for frame in found.frames
        if frame.has_grid
        or (frame.is_drawn and _is_filled(pixels, frame.box) and not _goes_on(pixels, frame.box))
    ]
    if len(certain) == 1:
        return certain[0]
    boxes = [*(frame.box for frame in found.frames), *found.supposed]
    raise UncertainPlot(UNCERTAIN if boxes else NO_PLOT, boxes)


def _is_filled(pixels: np.ndarray, box: Box) -> bool:
    """Whether nothing is in a box but one curve from side to side, that does not leave it: the
    frame of more than the plot has text in it, or room beside the curve."""
    _, _, inside = _inside(pixels, box)
    try:
        runs = runs_of(np.linalg.norm(departure(inside), axis=2))
    except UnreadablePicture:
        return False
    height, width = inside.shape[:2]
    columns = np.flatnonzero(runs.top >= 0)
    fills = columns[0] <= _AT_SIDE * width and columns[-1] >= (1 - _AT_SIDE) * width - 1
    leaves = (runs.top == 0).any() or (
        (runs.bottom == height - 1).any() and not is_area(runs, height)
    )
    return bool(fills and not leaves and runs.is_alone)


def _goes_on(pixels: np.ndarray, box: Box) -> bool:
    """Whether there is something beside a box and above it, as labels of an axis are that goes on:
    the box is then a zone of the plot. The label of its own top reaches down to it."""
    top, left, right = int(box.y0) - _FRAME, int(box.x0) - _BESIDE, int(box.x1) + _BESIDE
    above = pixels[max(top - int(_ABOVE * box.height), 0) : top].astype(np.float32)
    wide = int(_ASIDE * box.width)
    for beside in (above[:, max(left - wide, 0) : max(left, 0)], above[:, right : right + wide]):
        if not beside.size:
            continue
        plain = np.median(beside, axis=(0, 1))
        is_drawn = (np.linalg.norm(beside - plain, axis=2) > 2 * DRAWN).any(axis=1)
        free = np.flatnonzero(~is_drawn)
        if free.size and is_drawn[: free[-1]].any():
            return True
    return False


def _inside(pixels: np.ndarray, plot: Box) -> tuple[int, int, np.ndarray]:
    """The first column and row within a plot's frame, and the pixels there."""
    x0, y0 = math.floor(plot.x0) + _FRAME, math.floor(plot.y0) + _FRAME
    x1, y1 = math.ceil(plot.x1) - _FRAME, math.ceil(plot.y1) - _FRAME
    return x0, y0, pixels[y0 : y1 + 1, x0 : x1 + 1]


def _of_colour(pixels: np.ndarray, difference: np.ndarray, colour: np.ndarray) -> np.ndarray:
    """What of the difference from the background is this colour's, and no other's."""
    whole = colour - (pixels - difference)
    size = np.maximum((whole**2).sum(axis=2), 1.0)
    share = np.clip((difference * whole).sum(axis=2) / size, 0, 1)
    own: np.ndarray = whole * share[:, :, None]
    other = np.linalg.norm(difference - own, axis=2) > _OTHER * np.sqrt(size)
    own[other] = 0
    return own
