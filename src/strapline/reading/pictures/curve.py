"""From a picture of a screen to a heart rate for each column of its plot."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage

from strapline.reading.pictures.background import departure
from strapline.reading.pictures.candidates import DRAWN, NO_CURVE, Runs, runs_of
from strapline.reading.pictures.colours import is_shown, of_colour, own_colour
from strapline.reading.pictures.dashes import beside_more, bridging
from strapline.reading.pictures.doubts import (
    blotted,
    hidden,
    islands,
    notches,
    second_line,
    topped,
    touching,
    unexplained,
)
from strapline.reading.pictures.frames import found_in
from strapline.reading.pictures.heights import hanging, ink, is_area
from strapline.reading.pictures.lines import Box
from strapline.reading.pictures.strokes import followed
from strapline.reading.pictures.unreadable import SeveralCurves, UncertainPlot, UnreadablePicture

# A frame hides so many columns and rows at each of its sides.
_FRAME = 2
# Shares of a curve's strength: what is fainter than the second is a glow, a shadow or a tint, what
# is fainter than the first may be; of a curve of several colours the faintest.
_FULL, _HALF, _FAINTEST = 0.65, 0.4, 0.2
# A line thicker than a pixel has this share of its colour's strength.
_SOLID = 0.9
# What is of full strength has at least this share of the columns of the other, but in a thin line;
# such a line is fainter for so few columns.
_MOST_FULL, _FAINT_FOR = 0.8, 3
# In pixels, each way.
SMALLEST_PLOT = 20
# Of more columns than this share it is not certain where the curve is.
_MOST_UNSURE = 0.3
# Within this share of a plot's width a curve that fills it begins at its left, and ends at its
# right edge.
_AT_SIDE = 0.01
# Labels of an axis are so near its plot, in pixels; they are looked for within these shares of its
# width and height.
_BESIDE, _ASIDE, _ABOVE = 4, 0.1, 0.15
# A title goes on over a plot in this share of its rows; a line of the grid in fewer.
_GOES_OVER = 0.5
NO_PLOT = (
    "No plot was found in the picture: no frame, no grid and no axes. Say where it is under "
    "picture.area: [left, top, right, bottom], in pixels."
)
NOT_SHOWN = (
    "No line or area in the plot is of the colour under picture.colour. Take the colour from the "
    "curve itself, or leave it out."
)
SAY_COLOUR = (
    "Say the colour of the heart rate under picture.colour, or make a picture with less beside its "
    "curve."
)
CUT_AWAY = (
    "The colour under picture.colour does not tell them apart; make a picture with less beside the "
    "curve."
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
    is_unsure
        A mask of those in which something else is drawn that one curve does not explain.
    left_out
        The highest and the lowest row of what is drawn in columns that were not read.
    """

    plot: Box
    columns: np.ndarray
    rows: np.ndarray
    is_double: np.ndarray
    is_unsure: np.ndarray
    left_out: tuple[float, float] = (math.inf, -math.inf)


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
    difference[beside_more(np.linalg.norm(difference, axis=2), DRAWN)] = 0
    try:
        reading = _of_one_colour(inside, difference, np.array(colour) if colour else None)
    except SeveralCurves as found:
        raise UnreadablePicture(f"{found} {CUT_AWAY if colour else SAY_COLOUR}") from None
    columns = np.arange(reading.rows.size) + x0
    rows, left_out = reading.rows + y0, (reading.left_out[0] + y0, reading.left_out[1] + y0)
    return Curve(plot, columns, rows, reading.is_double, reading.is_unsure, left_out)


def colour_in(pixels: np.ndarray, plot: Box) -> tuple[int, int, int] | None:
    """Red, green and blue of the curve in a plot; None where it has several colours.

    Raises UnreadablePicture as `curve_in` does.
    """
    inside = _inside(pixels, plot)[2]
    own = _own_colour(inside, departure(inside))
    if own is None:
        return None
    red, green, blue = (round(float(part)) for part in own)
    return red, green, blue


@dataclass(frozen=True)
class _Reading:
    rows: np.ndarray
    is_double: np.ndarray
    is_unsure: np.ndarray
    thick: float | None
    left_out: tuple[float, float]

    @property
    def is_area(self) -> bool:
        return self.thick is None

    @property
    def is_read(self) -> np.ndarray:
        read: np.ndarray = ~np.isnan(self.rows)
        return read

    def doubting(self, mask: np.ndarray, tops: np.ndarray, bottoms: np.ndarray) -> _Reading:
        """Without the columns of a mask, in which something is drawn from top to bottom."""
        highest, lowest = tops[mask].min(initial=math.inf), bottoms[mask].max(initial=-math.inf)
        return replace(
            self,
            rows=np.where(mask, np.nan, self.rows),
            is_unsure=self.is_unsure | (mask & ~self.is_double),
            left_out=(
                min(self.left_out[0], float(highest)),
                self.left_out[1] if self.is_area else max(self.left_out[1], float(lowest)),
            ),
        )


def _of_one_colour(
    inside: np.ndarray, difference: np.ndarray, stated: np.ndarray | None
) -> _Reading:
    """Of the stated colour, or the curve's own; of all that is drawn where it has several."""
    own = _own_colour(inside, difference) if stated is None else stated
    if own is None:
        return _certain(_reading(difference, has_one_colour=False))
    shown, is_near = of_colour(inside, difference, own, stated is not None)
    if stated is not None and not is_shown(difference, shown):
        raise UnreadablePicture(NOT_SHOWN)
    behind = inside - difference
    whole = None if stated is None else float(np.median(np.linalg.norm(own - behind, axis=2)))
    reading = _reading(shown, has_one_colour=True, whole=whole)
    touched = reading.is_read & touching(is_near, reading.rows, reading.thick or 0.0)
    reading = _certain(reading.doubting(touched, reading.rows, reading.rows))
    strength = np.linalg.norm(shown, axis=2)
    if stated is not None:
        # What is fainter is told apart by that.
        strength[strength < _HALF * strength.max()] = 0
    thick = reading.thick
    if thick and (second := second_line(strength, reading.rows, thick)):
        raise SeveralCurves(
            f"A second line of nearly the same colour lies beside the one that can be read, in "
            f"{100 * second:.0f} % of the columns."
        )
    return reading.doubting(*hidden(np.linalg.norm(difference, axis=2), reading.rows))


def _certain(reading: _Reading) -> _Reading:
    unsure = int(reading.is_unsure.sum())
    if unsure > _MOST_UNSURE * (unsure + reading.is_read.sum()):
        raise SeveralCurves(
            f"In {unsure} of the plot’s {reading.rows.size} columns it is not certain where the "
            f"curve is."
        )
    return reading


def _reading(difference: np.ndarray, has_one_colour: bool, whole: float | None = None) -> _Reading:
    """By what is as strong as most of the curve, and by what is half as strong: a dash, a glow or a
    tint is in the second alone, and what is thin shows better in it. Of a stated colour, `whole` is
    how far it is from the background: where the curve is as far, what is fainter is another."""
    strength = np.linalg.norm(difference, axis=2)
    most = strength.max(axis=0)
    own = most[most > DRAWN if whole else runs_of(strength).has_one]
    peak = float(np.median(own)) if own.size else 0.0
    if not has_one_colour:
        return _read_at(difference, strength, max(DRAWN, _FAINTEST * peak))
    full = _read_if_any(difference, strength, max(DRAWN, _FULL * peak))
    if full and whole and peak >= _SOLID * whole:
        return full
    half = _read_if_any(difference, strength, max(DRAWN, _HALF * peak))
    if full is None or full.is_area or half is None:
        return half or full or _read_at(difference, strength, DRAWN)
    if full.is_read.sum() < _MOST_FULL * half.is_read.sum():
        return half
    faint = half.is_read & ~full.is_read & ~full.is_double & ~full.is_unsure
    unsure = faint & _long(faint)
    rows = np.where(faint & ~unsure, half.rows, full.rows)
    return _Reading(rows, full.is_double, full.is_unsure | unsure, full.thick, full.left_out)


def _read_if_any(difference: np.ndarray, strength: np.ndarray, least: float) -> _Reading | None:
    try:
        return _read_at(difference, strength, least)
    except UnreadablePicture:
        return None


def _read_at(difference: np.ndarray, strength: np.ndarray, least: float) -> _Reading:
    runs = runs_of(strength, least)
    height, area = strength.shape[0], is_area(runs, strength.shape[0])
    found = ink(difference, runs)
    if area:
        rows, thick = found.middles, None
        doubted = notches(rows, height) | hanging(runs, height) | topped(difference, runs)
    else:
        line = followed(found)
        rows, thick = line.rows, line.thick
        doubted = unexplained(line, runs, height) | blotted(runs, height, line.thick)
    read = np.where(doubted, np.nan, rows)
    read[bridging(rows) | _is_cut(runs, height, area)] = np.nan
    read[islands(read)] = np.nan
    missing = np.isnan(read) & (runs.top >= 0)
    left_out = (
        float(runs.top[missing].min(initial=height)) + (thick or 0) / 2,
        -math.inf if area else float(runs.bottom[missing].max(initial=0)) - (thick or 0) / 2,
    )
    return _Reading(read, runs.is_double, missing & ~runs.is_double, thick, left_out)


def _is_cut(runs: Runs, height: int, is_area: bool) -> np.ndarray:
    """A mask of the columns in which a curve goes on beyond the plot."""
    below = (runs.bottom == height - 1) & (not is_area)
    cut: np.ndarray = runs.has_one & ((runs.top == 0) | below)
    return cut


def _long(mask: np.ndarray) -> np.ndarray:
    """What of a mask is in stretches longer than a thin line is faint for."""
    stretches: np.ndarray = ndimage.binary_opening(mask, np.ones(_FAINT_FOR + 1, bool))
    return stretches


def _own_colour(inside: np.ndarray, difference: np.ndarray) -> np.ndarray | None:
    runs = runs_of(np.linalg.norm(difference, axis=2))
    return own_colour(inside, difference, runs)


def _plot(pixels: np.ndarray, area: tuple[float, float, float, float] | None) -> Box:
    height, width = pixels.shape[:2]
    if area is not None:
        if area[2] > width or area[3] > height:
            raise UnreadablePicture(
                f"picture.area goes beyond the picture, which has {width} by {height} pixels."
            )
        if min(area[2] - area[0], area[3] - area[1]) < SMALLEST_PLOT:
            raise UnreadablePicture(
                f"picture.area is too small for a curve; each side must have at least "
                f"{SMALLEST_PLOT} pixels."
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
    # The nearest to a plot's edges first; where a colour begins may be those of a band behind it.
    drawn = [frame.box for frame in found.frames if frame.has_grid or frame.is_drawn]
    likely: list[Box] = []
    for box in (*drawn, *found.supposed, *(frame.box for frame in found.frames)):
        likely += [] if any(box.is_like(other) for other in likely) else [box]
    boxes = [box for box in likely if _has_curve(pixels, box)]
    raise UncertainPlot(UNCERTAIN if found.frames or found.supposed else NO_PLOT, boxes)


def _has_curve(pixels: np.ndarray, box: Box) -> bool:
    """Whether one curve, or more, is in a box: in a table, with lines between its rows, is none."""
    try:
        runs_of(np.linalg.norm(departure(_inside(pixels, box)[2]), axis=2))
    except UnreadablePicture as reason:
        return str(reason) != NO_CURVE
    return True


def _is_filled(pixels: np.ndarray, box: Box) -> bool:
    """Whether nothing is in a box but one curve from side to side, that does not leave it: the
    frame of more than the plot has text in it, or room beside the curve."""
    # A frame that was scaled hides more.
    inside = _inside(pixels, box)[2][_FRAME:-_FRAME, _FRAME:-_FRAME]
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
    the box is then a zone of the plot. The label of its own top reaches down to it, and a title
    goes on over it."""
    top, left, right = int(box.y0) - _FRAME, int(box.x0) - _BESIDE, int(box.x1) + _BESIDE
    above = pixels[max(top - int(_ABOVE * box.height), 0) : top].astype(np.float32)
    wide = int(_ASIDE * box.width)
    sides = (slice(max(left - wide, 0), max(left, 0)), slice(right, right + wide))
    over = slice(max(left, 0), max(left, 0) + wide), slice(max(right - wide, 0), right)
    for beside, next_to in zip(sides, over, strict=True):
        if not above[:, beside].size:
            continue
        plain = np.median(above[:, beside], axis=(0, 1))
        marks = np.linalg.norm(above - plain, axis=2) > 2 * DRAWN
        texts, _ = ndimage.label(marks[:, beside].any(axis=1))
        goes_over = marks[:, next_to].any(axis=1)
        for (rows,) in ndimage.find_objects(texts):
            if rows.stop < len(above) and goes_over[rows].mean() < _GOES_OVER:
                return True
    return False


def _inside(pixels: np.ndarray, plot: Box) -> tuple[int, int, np.ndarray]:
    """The first column and row within a plot's frame, and the pixels there."""
    x0, y0 = math.floor(plot.x0) + _FRAME, math.floor(plot.y0) + _FRAME
    x1, y1 = math.ceil(plot.x1) - _FRAME, math.ceil(plot.y1) - _FRAME
    return x0, y0, pixels[y0 : y1 + 1, x0 : x1 + 1]
