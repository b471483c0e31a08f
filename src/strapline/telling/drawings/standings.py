"""Sessions as dots and their means, a panel an activity and a row a device."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import INK, PAPER, axis, beside, colour, edge, panels
from strapline.telling.drawings.size import Size


def standings(size: Size) -> Any:
    """Of `marks` (panel, row, place, bpm; a mean: panel, row, mean, words)."""
    said = 6 * size.text
    width = size.width - size.rows - said
    names = alt.Axis(
        title=None, labelExpr="names[datum.value]", labelFontWeight=600, minExtent=size.rows - 8
    )
    y = alt.Y("row:O", axis=names)
    means = alt.Chart().transform_filter("isValid(datum.mean)")
    dots = alt.Chart().transform_filter("isValid(datum.bpm)")
    scale = alt.Scale(domain=[0, alt.ExprRef("highest")], nice=False)

    def x(field: str) -> Any:
        return alt.X(f"{field}:Q", scale=scale, axis=axis(width // 90))

    layers = alt.layer(
        dots.mark_circle(size=70, opacity=0.85, stroke=PAPER).encode(
            x=x("bpm"), y=y, color=colour()
        ),
        means.mark_tick(color=INK, thickness=3, size=1.6 * size.text, opacity=1).encode(
            x=x("mean"), y=y
        ),
        beside(means, "words", width + 0.5 * size.text, said, size).encode(y=y),
        edge(width + said),
        width=width,
        height=alt.Step(2.6 * size.text),
    )
    return panels(layers, "marks.panel", size, 1, size.text, size.rows)
