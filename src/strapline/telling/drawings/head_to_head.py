"""Two devices a row, and between their names how much closer the one or the other was."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import INK, ONCE, PAPER, REFERENCE, axis, colour
from strapline.telling.drawings.size import Size

# In letters' height: a row, and how far the names are above its middle, and the marks below it.
_ROW, _NAMES, _MARKS = 3.8, 0.8, 0.75


def head_to_head(size: Size) -> Any:
    """Of `rows` (row, left, right, left_place, right_place, place, said, short, difference, low,
    high) and `sessions` (row, difference, place)."""
    width = size.width - 2 * size.text
    reach = alt.Scale(domain=[alt.ExprRef("-reach"), alt.ExprRef("reach")], nice=False)
    ticks = axis(width // 90, labelExpr="format(abs(datum.value), '~r')", title="Closer by, bpm")
    y = alt.Y("row:O", axis=None, scale=alt.Scale(padding=0))
    rows = alt.Chart(alt.NamedData("rows")).encode(y=y)
    sessions = alt.Chart(alt.NamedData("sessions")).encode(y=y)
    down: Any = {"yOffset": _MARKS * size.text}

    def x(field: str) -> Any:
        return alt.X(f"{field}:Q", scale=reach, axis=ticks)

    middle = alt.XValue(width / 2)
    zero: Any = {"color": REFERENCE, "thickness": 1.5, "opacity": 1}
    # No line of the axis goes through a name.
    free: Any = {"height": 1.5 * size.text, "yOffset": -_NAMES * size.text}
    return alt.layer(
        rows.mark_rect(color=PAPER, **free).encode(x=alt.XValue(-1), x2=alt.X2Value(width + 1)),
        rows.mark_tick(orient="vertical", size=1.5 * size.text, **zero, **down).encode(x=middle),
        sessions.mark_circle(size=70, opacity=0.5, **down).encode(
            x=x("difference"), color=colour()
        ),
        rows.mark_rule(strokeWidth=3, color=INK, **down).encode(x=x("low"), x2=alt.X2("high:Q")),
        rows.mark_point(filled=True, size=170, opacity=1, stroke=PAPER, **down).encode(
            x=x("difference"), color=colour()
        ),
        _name(rows, "left", size).encode(x=alt.XValue(0)),
        _name(rows, "right", size).encode(x=alt.XValue(width)),
        rows.mark_text(align="center", baseline="middle", dy=-_NAMES * size.text).encode(
            x=middle, text=alt.Text("short:N") if size.names_above else "said:N"
        ),
        *_sides(size, width),
        width=width,
        height=alt.Step(_ROW * size.text),
    )


def _name(rows: alt.Chart, side: str, size: Size) -> Any:
    """The device on that side, in its colour."""
    look: Any = {"align": side, "baseline": "middle", "fontWeight": 600}
    limit = (0.38 if size.names_above else 0.3) * size.width
    named = rows.transform_calculate(place=f"datum.{side}_place")
    text = named.mark_text(**look, limit=limit, dy=-_NAMES * size.text)
    return text.encode(text=alt.Text(f"{side}:N"), color=colour())


def _sides(size: Size, width: int) -> tuple[Any, ...]:
    """What either side of zero means, above the first row."""
    words = alt.Chart(ONCE).encode(y=alt.YValue(-0.9 * size.text))
    between: Any = {"baseline": "middle", "fontWeight": 600}
    rule: Any = {"orient": "vertical", "size": 1.2 * size.text, "thickness": 1.5}
    return (
        words.mark_tick(color=REFERENCE, opacity=1, **rule).encode(x=alt.XValue(width / 2)),
        words.mark_text(align="right", dx=-0.6 * size.text, text="closer: left", **between).encode(
            x=alt.XValue(width / 2)
        ),
        words.mark_text(align="left", dx=0.6 * size.text, text="right", **between).encode(
            x=alt.XValue(width / 2)
        ),
    )
