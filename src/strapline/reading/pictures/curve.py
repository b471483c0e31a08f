"""From a picture of a screen to a heart rate for each column of its plot."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.reading.formats.export import UnreadableExport
from strapline.reading.pictures.background import departure
from strapline.reading.pictures.candidates import runs_of
from strapline.reading.pictures.heights import heights
from strapline.reading.pictures.lines import Box, plots_in

# A frame hides so many columns at either side.
_FRAME = 1
NO_PLOT = (
    "No plot was found in the picture: no frame, no grid and no axes. Say where it is under "
    "picture.area: [left, top, right, bottom], in pixels."
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

    Raises UnreadableExport, with a sentence, where there is no plot, none or two curves.
    """
    plot = _plot(pixels, area)
    frame = _FRAME if area is None else 0
    x0, x1 = math.ceil(plot.x0) + frame, math.floor(plot.x1) - frame
    y0, y1 = math.ceil(plot.y0), math.floor(plot.y1)
    inside = pixels[y0 : y1 + 1, x0 : x1 + 1]
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
            raise UnreadableExport(
                f"picture.area goes beyond the picture, which has {width} by {height} pixels."
            )
        return Box(*area)
    plots = plots_in(pixels)
    if not plots:
        raise UnreadableExport(NO_PLOT)
    if len(plots) > 1:
        raise UnreadableExport(
            f"{len(plots)} plots are in the picture. Say which one it is under picture.area: "
            "[left, top, right, bottom], in pixels."
        )
    return plots[0]


def _of_colour(pixels: np.ndarray, difference: np.ndarray, colour: np.ndarray) -> np.ndarray:
    """What of the difference from the background is this colour's."""
    whole = colour - (pixels - difference)
    away = np.linalg.norm(pixels - colour, axis=2)
    share = np.clip(1 - away / np.maximum(np.linalg.norm(whole, axis=2), 1.0), 0, 1)
    of_colour: np.ndarray = whole * share[:, :, None]
    return of_colour
