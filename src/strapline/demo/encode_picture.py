"""The screen of an app that exports nothing: a curve, a grid, and no way to the numbers."""

from __future__ import annotations

import io
import math

import numpy as np
from PIL import Image, ImageDraw

from strapline.demo.content import Content
from strapline.ground.records.picture import Picture

WIDTH, HEIGHT = 720, 420
# Left, top, right and bottom of the plot.
PLOT = (64, 48, 688, 368)
STEP_BPM = 20
GRID_LINES = 6
_PAPER, _GRID, _FRAME, _CURVE = "#ffffff", "#e3e7ec", "#4a5560", "#c2334d"
# So many times as large it is drawn, for smooth edges.
_FINE = 4
# The app draws means over so many pixels.
_PIXELS_A_POINT = 2
_THICK = 2


def edges(content: Content) -> Picture:
    """What the edges of the plot stand for."""
    rates = content.heart_rate_bpm[content.heart_rate_bpm > 0]
    return Picture(
        left=0.0,
        right=float(content.second[-1]),
        bottom=float(STEP_BPM * math.floor(rates.min() / STEP_BPM)),
        top=float(STEP_BPM * math.ceil(rates.max() / STEP_BPM)),
    )


def png(content: Content) -> bytes:
    """The screen as a PNG picture."""
    shown = edges(content)
    screen = Image.new("RGB", (WIDTH * _FINE, HEIGHT * _FINE), _PAPER)
    pen = ImageDraw.Draw(screen)
    x0, y0, x1, y1 = (edge * _FINE for edge in PLOT)
    for share in np.linspace(0, 1, GRID_LINES)[1:-1]:
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        pen.line([(x, y0), (x, y1)], fill=_GRID, width=_FINE)
        pen.line([(x0, y), (x1, y)], fill=_GRID, width=_FINE)
    time, rate = _points(content)
    x = x0 + (time - shown.left) / (shown.right - shown.left) * (x1 - x0)
    y = y1 - (rate - shown.bottom) / (shown.top - shown.bottom) * (y1 - y0)
    pen.line(list(zip(x, y, strict=True)), fill=_CURVE, width=_THICK * _FINE, joint="curve")
    pen.rectangle([x0, y0, x1, y1], outline=_FRAME, width=_THICK * _FINE)
    kept = io.BytesIO()
    screen.resize((WIDTH, HEIGHT), Image.Resampling.BOX).save(kept, "PNG")
    return kept.getvalue()


def _points(content: Content) -> tuple[np.ndarray, np.ndarray]:
    """What the app draws: means over the time of a few pixels each."""
    known = content.heart_rate_bpm > 0
    second, rate = content.second[known], content.heart_rate_bpm[known]
    count = (PLOT[2] - PLOT[0]) // _PIXELS_A_POINT
    place = np.minimum((second / content.second[-1] * count).astype(int), count - 1)
    sizes = np.bincount(place, minlength=count)
    held = sizes > 0
    return (
        np.bincount(place, second, count)[held] / sizes[held],
        np.bincount(place, rate, count)[held] / sizes[held],
    )
