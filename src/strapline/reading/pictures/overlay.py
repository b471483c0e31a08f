"""A picture of what was found: the curve and the plot's edges over the screenshot."""

import io
from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from strapline.reading.pictures.curve import Curve
from strapline.reading.pictures.lines import Box

# So many pixels for each, that a line finer than one can be seen.
_ENLARGED = 2
# Ticks of a ruler, which of them are long and have their number, in pixels of the screenshot; and
# the size of that.
_TICK, _NUMBERED, _LONG, _SIZE = 10, 50, 12, 18
# How much of the screenshot is left to see, and the colours of what was found in it.
_SEEN = 0.45
_LINE, _EDGES = (0, 0, 0), (0, 110, 220)


def overlay(pixels: np.ndarray, curve: Curve) -> bytes:
    """As a PNG picture; `pixels` as from `pixels_of`."""
    shown = _paled(pixels)
    pen = ImageDraw.Draw(shown)
    _outline(pen, curve.plot)
    for stretch in np.split(np.arange(curve.rows.size), _breaks(curve.rows)):
        points = [
            _placed(curve.columns[place], curve.rows[place])
            for place in stretch
            if not np.isnan(curve.rows[place])
        ]
        if len(points) > 1:
            pen.line(points, fill=_LINE, width=1)
        elif points:
            pen.point(points, fill=_LINE)
    return _kept(shown)


def numbered(pixels: np.ndarray, boxes: Sequence[Box]) -> bytes:
    """Where a plot may be, each box with its number from 1, between rulers of the screenshot's
    pixels at all its sides, as a PNG picture."""
    shown = _paled(pixels)
    pen = ImageDraw.Draw(shown)
    _rulers(pen, pixels.shape[1], pixels.shape[0])
    for number, box in enumerate(boxes, 1):
        _outline(pen, box)
        x, y = _placed(box.x0, box.y0)
        pen.text((x + 4 + 16 * number, y + 4), str(number), fill=_EDGES, font_size=20)
    return _kept(shown)


def _rulers(pen: ImageDraw.ImageDraw, width: int, height: int) -> None:
    for at in range(0, max(width, height), _TICK):
        long = _LONG if at % _NUMBERED == 0 else _LONG / 3
        for far in (0, width - 1) if at < height else ():
            end = long if far == 0 else far - long
            pen.line([*_placed(far, at), *_placed(end, at)], fill=_EDGES)
            if at % _NUMBERED == 0:
                anchor = "ls" if far == 0 else "rs"
                pen.text(_placed(end, at), str(at), fill=_EDGES, font_size=_SIZE, anchor=anchor)
        for far in (0, height - 1) if at < width else ():
            end = long if far == 0 else far - long
            pen.line([*_placed(at, far), *_placed(at, end)], fill=_EDGES)
            if at % _NUMBERED == 0:
                anchor = "lt" if far == 0 else "lb"
                pen.text(_placed(at + 1, end), str(at), fill=_EDGES, font_size=_SIZE, anchor=anchor)


def _paled(pixels: np.ndarray) -> Image.Image:
    paled = Image.fromarray(np.uint8(255 - (255 - pixels) * _SEEN))
    return paled.resize((paled.width * _ENLARGED, paled.height * _ENLARGED), Image.Resampling.BOX)


def _outline(pen: ImageDraw.ImageDraw, box: Box) -> None:
    pen.rectangle([*_placed(box.x0, box.y0), *_placed(box.x1, box.y1)], outline=_EDGES)


def _kept(shown: Image.Image) -> bytes:
    kept = io.BytesIO()
    shown.save(kept, "PNG")
    return kept.getvalue()


def _placed(column: float, row: float) -> tuple[float, float]:
    return (column + 0.5) * _ENLARGED - 0.5, (row + 0.5) * _ENLARGED - 0.5


def _breaks(rows: np.ndarray) -> np.ndarray:
    """Where gaps begin and end."""
    return np.flatnonzero(np.diff(np.isnan(rows).astype(np.int8))) + 1
