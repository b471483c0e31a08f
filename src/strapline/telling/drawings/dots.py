"""Seconds as dots, a panel a device: device against strap, and difference against mean."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import (
    BAND,
    INK,
    ONCE,
    REFERENCE,
    axis,
    beside,
    between,
    colour,
    edge,
    panels,
)
from strapline.telling.drawings.size import Size

_HEIGHT = {"phone": 250, "column": 330, "wide": 420, "upright": 265}


def scatter(size: Size) -> Any:
    """Of `dots` (place, x, y, seconds): on the line both agree; the band is the tolerance."""
    width = size.panel - size.axis
    both = between("low", "high")
    ends = alt.Chart(alt.InlineData([{"end": 0}, {"end": 1}, {"end": 2}])).transform_calculate(
        x="[low, clamp(100 * beats / percent, low, high), high][datum.end]",
        above="datum.x + max(beats, datum.x * percent / 100)",
        below="datum.x - max(beats, datum.x * percent / 100)",
    )
    x, y = _x(width, both, "Strap, bpm"), alt.Y("x:Q", scale=both, axis=axis(5))
    band = ends.mark_area(color=BAND, clip=True)
    agreed = ends.mark_line(color=REFERENCE, strokeWidth=1.5)
    layers = alt.layer(
        band.encode(x=x, y=alt.Y("above:Q", scale=both, axis=axis(5)), y2=alt.Y2("below:Q")),
        agreed.encode(x=x, y=y),
        _dots(x, both),
        edge(width),
    )
    return _panels(layers, size, width)


def bland_altman(size: Size) -> Any:
    """Of `dots`; of the lines of each device, line, from, to, at, words; and of its limits that
    change with heart rate, x, below, above."""
    said = 9 * size.text
    width = size.panel - size.axis - said
    up = between("low", "high")
    x = _x(width, between("left", "right"), "Mean of the two, bpm")
    zero = alt.YDatum(0, type="quantitative", scale=up)
    line = alt.Chart().transform_filter("isValid(datum.line)")
    interval = line.transform_filter("isValid(datum.to)").mark_rect(color=INK, opacity=0.16)
    at = alt.Y("at:Q", scale=up, axis=axis(5))
    words = beside(line, "words", width + 0.5 * size.text, said, size).encode(y=at)
    changing = alt.Chart().transform_filter("isValid(datum.above)").mark_area(color=BAND, clip=True)
    layers = alt.layer(
        changing.encode(x=x, y=alt.Y("above:Q", scale=up, axis=axis(5)), y2=alt.Y2("below:Q")),
        alt.Chart(ONCE).mark_rule(color=REFERENCE, strokeWidth=1.5).encode(y=zero),
        _dots(x, up),
        interval.encode(y=alt.Y("from:Q", scale=up, axis=axis(5)), y2=alt.Y2("to:Q")),
        line.mark_rule(color=INK, strokeWidth=1.5).encode(
            y=alt.Y("line:Q", scale=up, axis=axis(5))
        ),
        words,
        edge(width + said),
    )
    return _panels(layers, size, width)


def _x(width: int, scale: alt.Scale, title: str) -> Any:
    return alt.X(
        "x:Q", scale=scale, axis=axis(max(3, width // 70), title=title, grid=False, labelPadding=14)
    )


def _dots(x: alt.X, scale: alt.Scale) -> Any:
    dots = alt.Chart().transform_filter("isValid(datum.seconds)")
    area = alt.Size("seconds:Q", scale=alt.Scale(range=[6, 140]), legend=None)
    y = alt.Y("y:Q", scale=scale, axis=axis(5))
    return dots.mark_circle(opacity=0.75, clip=True).encode(x=x, y=y, size=area, color=colour())


def _panels(layers: Any, size: Size, width: int) -> Any:
    panel = layers.properties(width=width, height=_HEIGHT[size.name])
    return panels(panel, "dots.place", size, size.columns, size.apart, size.axis)
