"""Bias and limits of agreement of one device, a row an activity."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import PAPER, REFERENCE, axis, between, colour, edge
from strapline.telling.drawings.size import Size

# In letters' height: what stands at the right of a row, and half the way between its two lines.
_SAID, _HALF = 11.0, 0.62


def forest(size: Size) -> Any:
    """Of `rows` (row, place, label, sessions, said, limits, lower, upper, low, high, bias): words
    left and right of each row's marks, or above them where that leaves too little room."""
    above = size.names_above
    left = 0 if above else size.rows
    width = size.width - 2 * size.text - (0 if above else size.rows + _SAID * size.text)
    scale = between("left", "right")
    ticks = axis(max(4, round(width) // 90), grid=False)
    rows = alt.Chart(alt.NamedData("rows")).encode(
        y=alt.Y("row:O", axis=None, scale=alt.Scale(padding=0))
    )
    marks = rows.encode(color=colour())
    down: Any = {"yOffset": 1.2 * size.text if above else 0}
    zero: Any = {"color": REFERENCE, "thickness": 1.5, "opacity": 1, "size": 1.7 * size.text}

    def x(field: str) -> Any:
        return alt.X(f"{field}:Q", scale=scale, axis=ticks)

    return alt.layer(
        rows.mark_tick(orient="vertical", **zero, **down).encode(
            x=alt.XDatum(0, type="quantitative", scale=scale)
        ),
        marks.mark_rule(strokeWidth=9, opacity=0.3, **down).encode(
            x=x("lower"), x2=alt.X2("upper:Q")
        ),
        marks.mark_rule(strokeWidth=4, **down).encode(x=x("low"), x2=alt.X2("high:Q")),
        marks.mark_point(filled=True, size=130, opacity=1, stroke=PAPER, **down).encode(
            x=x("bias")
        ),
        *_words(rows, size, -left, width + (0 if above else size.text)),
        edge(width + (0 if above else _SAID * size.text)),
    ).properties(width=width, height=alt.Step((4.6 if above else 2.9) * size.text))


def _words(rows: alt.Chart, size: Size, left: float, right: float) -> tuple[Any, ...]:
    """Activity over sessions at the left, bias over limits at the right; where they stand above
    the marks, the figures are the second line."""
    above = size.names_above
    up = -0.7 if above else 0.0
    first, second = (up - _HALF) * size.text, (up + _HALF) * size.text

    def text(field: str, x: float, dy: Any, weight: Any, side: Any = "left") -> Any:
        mark = rows.mark_text(align=side, baseline="middle", dy=dy, fontWeight=weight)
        return mark.encode(x=alt.XValue(x), text=alt.Text(f"{field}:N"))

    if above:
        return (
            text("label", left, first, 600),
            text("sessions", right, first, 400, "right"),
            text("said", left, second, 600),
            text("limits", right, second, 400, "right"),
        )
    # In the middle of its row where nothing stands below it.
    either = alt.ExprRef(f"datum.limits ? {first} : 0")
    return (
        text("label", left, first, 600),
        text("sessions", left, second, 400),
        text("said", right, either, 600),
        text("limits", right, second, 400),
    )
