"""A line a device over one panel: how much of the time, how it follows, and the clocks."""

from collections.abc import Callable
from typing import Any

import altair as alt

from strapline.telling.drawings.parts import (
    INK,
    ONCE,
    axis,
    between,
    colour,
    names_at_ends,
)
from strapline.telling.drawings.size import Size

_HEIGHT = {"phone": 240, "column": 320, "wide": 400, "upright": 560}


def curves(across: str, upright: str | float, level: float | None = None) -> Callable[[Size], Any]:
    """Of `lines` and `points` (place, x, y) and `ends`.

    across: the title of the axis. upright, level: where rules stand, as a number or by the name of
    a parameter.
    """

    def drawing(size: Size) -> Any:
        aside, up = between("left", "right"), between("low", "high")
        ticks = axis(size.plot // (4 * size.text), title=across, grid=False, labelPadding=14)
        x, y = alt.X("x:Q", scale=aside, axis=ticks), alt.Y("y:Q", scale=up, axis=axis(6))
        value = alt.ExprRef(upright) if isinstance(upright, str) else upright
        rule = alt.Chart(ONCE).mark_rule(color=INK, strokeWidth=1.5)
        rules = [rule.encode(x=alt.XDatum(value, type="quantitative", scale=aside))]
        if level is not None:
            rules.append(rule.encode(y=alt.YDatum(level, type="quantitative", scale=up)))
        lines = alt.Chart(alt.NamedData("lines")).mark_line(strokeWidth=2.2)
        points = alt.Chart(alt.NamedData("points")).mark_point(filled=True, size=90, opacity=1)
        return alt.layer(
            *rules,
            lines.encode(x=x, y=y, color=colour()),
            points.encode(x=x, y=y, color=colour()),
            names_at_ends(x, up, size),
            width=size.plot,
            height=_HEIGHT[size.name],
        )

    return drawing
