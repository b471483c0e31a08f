"""The error of a device's sessions over time, a panel an activity."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import INK, PAPER, axis, between, colour, edge, panels
from strapline.telling.drawings.size import Size

_HEIGHT = {"phone": 90, "column": 100, "wide": 90, "upright": 100}
# Of the days that are marked where there is most room.
_EVERY = {"phone": 2, "column": 2, "wide": 1, "upright": 2}


def trend(size: Size) -> Any:
    """Of `marks` (panel, place, wearer, time, mae) and `changes` (time, version)."""
    width = size.width - size.axis - 2 * size.text
    days = axis(
        8,
        labelExpr="[utcFormat(datum.value, '%-d %b'), utcFormat(datum.value, '%Y')]",
        grid=False,
        labelPadding=14,
        values=alt.ExprRef(f"sequence(day, last, apart * {_EVERY[size.name]})"),
    )
    span = between("first", "last", type="utc")
    x = alt.X("time:T", scale=span, axis=days)
    y = alt.Y(
        "mae:Q", scale=alt.Scale(domain=[0, alt.ExprRef("highest")], nice=False), axis=axis(3)
    )
    sessions = alt.Chart().encode(x=x, y=y, color=colour())
    changes = alt.Chart(alt.NamedData("changes")).encode(x=x)
    version = changes.mark_text(align="left", baseline="top", dx=4, limit=8 * size.text)
    layers = alt.layer(
        changes.mark_rule(color=INK, strokeWidth=1.2),
        version.encode(y=alt.YValue(0), text=alt.Text("version:N")),
        sessions.mark_line(strokeWidth=1.2, opacity=0.5).encode(detail=alt.Detail("wearer:N")),
        sessions.mark_circle(size=80, opacity=1, stroke=PAPER),
        edge(width),
        width=width,
        height=_HEIGHT[size.name],
    )
    return panels(layers, "marks.panel", size, 1, size.text, size.axis)
