"""A picture of what was found: the curve and the plot's edges over the screenshot."""

import io

import numpy as np
from PIL import Image, ImageDraw

from strapline.reading.pictures.curve import Curve

# So many pixels for each, that a line finer than one can be seen.
_ENLARGED = 2
# How much of the screenshot is left to see, and the colours of what was found in it.
_SEEN = 0.45
_LINE, _EDGES = (0, 0, 0), (0, 110, 220)


def overlay(pixels: np.ndarray, curve: Curve) -> bytes:
    """As a PNG picture; `pixels` as from `pixels_of`."""
    paled = Image.fromarray(np.uint8(255 - (255 - pixels) * _SEEN))
    shown = paled.resize((paled.width * _ENLARGED, paled.height * _ENLARGED), Image.Resampling.BOX)
    pen = ImageDraw.Draw(shown)
    plot = curve.plot
    pen.rectangle([*_placed(plot.x0, plot.y0), *_placed(plot.x1, plot.y1)], outline=_EDGES)
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
    kept = io.BytesIO()
    shown.save(kept, "PNG")
    return kept.getvalue()


def _placed(column: float, row: float) -> tuple[float, float]:
    return (column + 0.5) * _ENLARGED - 0.5, (row + 0.5) * _ENLARGED - 0.5


def _breaks(rows: np.ndarray) -> np.ndarray:
    """Where gaps begin and end."""
    return np.flatnonzero(np.diff(np.isnan(rows).astype(np.int8))) + 1
