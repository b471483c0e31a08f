"""Bias and limits of agreement of one device, a row an activity."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import ONCE, REFERENCE, axis, between, colour, edge, panels
from strapline.telling.drawings.size import Size


def forest(size: Size) -> Any:
    """Of `rows` (row, place, lower, upper, low, high, bias)."""
    width = size.width - 2 * size.text
    height = 1.6 * size.text
    scale = between("left", "right")
    ticks = axis(width // 120)
    middle = alt.value(height / 2)
    row = alt.Chart().encode(y=middle, color=colour())

    def x(field: str) -> Any:
        return alt.X(f"{field}:Q", scale=scale, axis=ticks)

    zero = alt.XDatum(0, type="quantitative", scale=scale)
    layers = alt.layer(
        alt.Chart(ONCE).mark_rule(color=REFERENCE, strokeWidth=1.5).encode(x=zero),
        row.mark_rule(strokeWidth=9, opacity=0.3).encode(x=x("lower"), x2="upper:Q"),
        row.mark_rule(strokeWidth=4).encode(x=x("low"), x2="high:Q"),
        row.mark_point(filled=True, size=110, opacity=1).encode(x=x("bias")),
        edge(width),
    ).properties(width=width, height=height)
    return panels(layers, "rows.row", size, 1, 0.5 * size.text, 0)
