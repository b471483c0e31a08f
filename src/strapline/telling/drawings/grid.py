"""A table as a picture: a number in each cell, the shade saying it again."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import INK
from strapline.telling.drawings.size import Size


def grid(size: Size) -> Any:
    """Of `cells` (row, column, said, beneath, shade)."""
    rows = alt.Axis(
        title=None,
        labelExpr="names[datum.value]",
        labelFontWeight=600,
        labelOffset=alt.ExprRef(f"-{0.6 * size.text} * (length(names[0]) - 1)"),
        minExtent=size.rows - 8,
        grid=False,
    )
    heads = alt.Axis(
        title=None,
        orient="top",
        labelExpr="columns[datum.value]",
        labelAngle=-60 if size.columns == 1 else 0,
        labelAlign="left" if size.columns == 1 else "center",
        labelLimit=7 * size.text,
        grid=False,
    )
    width = size.width - size.rows - (2 * size.text if size.columns == 1 else 0)
    cells = alt.Chart(alt.NamedData("cells")).encode(
        x=alt.X("column:O", axis=heads, scale=alt.Scale(padding=0.04)),
        y=alt.Y("row:O", axis=rows, scale=alt.Scale(padding=0.08)),
    )
    shade = alt.FillOpacity("shade:Q", scale=None, legend=None)
    middle: Any = {"align": "center", "baseline": "middle"}
    up = alt.ExprRef(f"datum.beneath ? -{0.55 * size.text} : 0")
    return alt.layer(
        cells.mark_rect(fill=INK, stroke=INK, strokeOpacity=0.3).encode(fillOpacity=shade),
        cells.mark_text(**middle, fontWeight=600, dy=up).encode(text="said:N"),
        cells.mark_text(**middle, dy=0.6 * size.text).encode(text="beneath:N"),
    ).properties(width=width, height=alt.Step(3 * size.text))
