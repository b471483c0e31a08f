"""A table as a picture: a number in each cell and, where it is on a scale, above a dot that shows
where, on a line as long as its interval."""

from collections.abc import Callable, Iterator
from typing import Any

import altair as alt

from strapline.telling.drawings.parts import INK, colour
from strapline.telling.drawings.size import Size

# In letters' height: a cell, and what is free beneath it; above it, where it has to be, a name.
_CELL, _FREE, _NAME = 2.5, 0.4, 1.5
# Less room than this, and the heads of columns are turned.
_LEAST_HEAD = 5.2
# Half of a number's width and that of a count, in letters' height; and where in a cell its scale
# begins and ends.
_HALF, _COUNT, _FROM, _TO = 1.05, 2.4, 0.12, 0.88


def grid(size: Size) -> Any:
    """Of `cells` (row, column, said, counted, shade, place, at, low, high), `names` (row, label,
    lines), `heads` (column, said) and `scale` (column, at, said), which stands beneath. Names stand
    left of cells or, on a small picture, above."""
    above = size.columns == 1
    # What is turned leans beyond the last column.
    width = size.width - size.text if above else size.width - size.rows
    name = _NAME if above else 0.0
    height = name + _CELL + _FREE
    # From the middle of a row to that of its cells, in pixels.
    middle = (name - _FREE) / 2 * size.text
    x_scale = alt.Scale(domain=[0, alt.ExprRef("across")], nice=False)
    y = alt.Y("row:O", axis=None, scale=alt.Scale(padding=0))
    cells = alt.Chart(alt.NamedData("cells")).encode(y=y)

    def x(at: str, **more: Any) -> Any:
        return alt.X(f"{at}:Q", scale=x_scale, axis=None, **more)

    boxes = cells.transform_calculate(
        left="datum.column + 0.03", right="datum.column + 0.97", dark="datum.shade || 0"
    )
    shade = alt.FillOpacity("dark:Q", scale=None, legend=None)
    up = alt.ExprRef(f"{middle} - (isValid(datum.at) ? {0.45 * size.text} : 0)")
    half = f"{_HALF * size.text / width} * across"
    # Counts, where they are shown, stand at the right.
    right = half if above else f"{(_HALF + _COUNT) * size.text / width} * across"
    at_dot = f"clamp({_within('datum.at')}, datum.column + {half}, datum.column + 1 - {right})"
    numbers = cells.transform_calculate(number=f"isValid(datum.at) ? {at_dot} : datum.column + 0.5")
    return alt.layer(
        boxes.mark_rect(
            fill=INK, stroke=INK, strokeOpacity=0.2, height=_CELL * size.text, yOffset=middle
        ).encode(x=x("left"), x2=alt.X2("right:Q"), fillOpacity=shade),
        *_estimates(cells, middle + 0.62 * size.text, x),
        numbers.mark_text(align="center", baseline="middle", fontWeight=600, dy=up).encode(
            x=x("number"), text=alt.Text("said:N")
        ),
        *([] if above else [_counts(boxes, up, size).encode(x=x("right"))]),
        _names(size, y, height),
        _heads(size, width, x),
        *_scale(size, x),
        width=width,
        height=alt.Step(height * size.text),
    )


def _estimates(cells: alt.Chart, lower: float, x: Callable[..., Any]) -> Iterator[Any]:
    """In each cell its interval, as far as the scale goes, and a dot; `lower`: how far below the
    middle of its row, in pixels."""

    def placed(**fields: str) -> alt.Chart:
        """Fields from 0 to 1 within the cell, less its edges."""
        within = {name: _within(at) for name, at in fields.items()}
        return cells.transform_filter("isValid(datum.at)").transform_calculate(**within)

    interval = placed(low_x="datum.low", high_x="min(datum.high, 1)").transform_filter(
        "isValid(datum.low)"
    )
    beyond = placed(end_x="1").transform_filter("datum.high > 1")
    dots = placed(at_x="datum.at")
    look: Any = {"size": 90, "opacity": 0.55, "yOffset": lower}
    yield interval.mark_rule(strokeWidth=3, opacity=0.4, yOffset=lower).encode(
        x=x("low_x"), x2=alt.X2("high_x:Q"), color=colour()
    )
    yield beyond.mark_point(filled=True, shape="triangle-right", **look).encode(
        x=x("end_x"), color=colour()
    )
    yield dots.mark_point(filled=True, size=70, opacity=1, yOffset=lower).encode(
        x=x("at_x"), color=colour()
    )


def _within(at: str) -> str:
    return f"datum.column + {_FROM} + {_TO - _FROM} * {at}"


def _counts(boxes: alt.Chart, up: alt.ExprRef, size: Size) -> Any:
    """Inwards from the right edge."""
    look: Any = {"baseline": "middle", "align": "right", "dx": -0.35 * size.text, "opacity": 0.75}
    counted = boxes.transform_filter("isValid(datum.counted)")
    return counted.mark_text(**look, dy=up).encode(text=alt.Text("counted:N"))


def _names(size: Size, y: alt.Y, height: float) -> Any:
    names = alt.Chart(alt.NamedData("names")).encode(y=y)
    if size.columns == 1:
        top: Any = {"align": "left", "baseline": "top", "dy": (0.3 - height / 2) * size.text}
        top["limit"] = size.width
        return names.mark_text(**top, fontWeight=600).encode(
            x=alt.XValue(0), text=alt.Text("label:N")
        )
    up = alt.ExprRef(f"-{_FREE / 2 * size.text} - {0.55 * size.text} * (length(datum.lines) - 1)")
    look: Any = {"align": "right", "baseline": "middle", "lineHeight": 1.1 * size.text, "dy": up}
    return names.mark_text(**look, fontWeight=600).encode(
        x=alt.XValue(-10), text=alt.Text("lines:N")
    )


def _heads(size: Size, width: int, x: Any) -> Any:
    turned = f"{width} / across < {_LEAST_HEAD * size.text}"
    heads = alt.Chart(alt.NamedData("heads")).transform_calculate(
        middle=f"datum.column + ({turned} ? 0.35 : 0.5)"
    )
    look: Any = {
        "baseline": alt.ExprRef(f"{turned} ? 'middle' : 'bottom'"),
        "align": alt.ExprRef(f"{turned} ? 'left' : 'center'"),
        "angle": alt.ExprRef(f"{turned} ? -60 : 0"),
        "limit": 6 * size.text,
        "dy": -0.4 * size.text,
    }
    return heads.mark_text(**look).encode(x=x("middle"), y=alt.YValue(0), text=alt.Text("said:N"))


def _scale(size: Size, x: Any) -> list[Any]:
    """The figures at the ends of the cells' scale, beneath each column; and, where counts are
    shown, what they count."""
    ends = alt.Chart(alt.NamedData("scale")).encode(y=alt.YValue("height"))
    # Inwards from the cell's edges, or those of two cells would read as one.
    first, aside = "datum.at < 0.5", 0.28 * size.text
    look: Any = {"baseline": "top", "dy": 0.2 * size.text, "opacity": 0.75}
    inwards: Any = {
        "align": alt.ExprRef(f"{first} ? 'left' : 'right'"),
        "dx": alt.ExprRef(f"{first} ? -{aside} : {aside}"),
    }
    placed = ends.transform_calculate(end=_within("datum.at"))
    if size.columns == 1:
        # Those of two columns would read as one.
        placed = placed.transform_filter("datum.column == 0")
    figures = placed.mark_text(**look, **inwards).encode(x=x("end"), text=alt.Text("said:N"))
    if size.columns == 1:
        return [figures]
    once = ends.transform_filter("datum.column == 0 && datum.at == 0")
    counts = once.mark_text(**look, align="right", text="×: sessions")
    return [figures, counts.encode(x=alt.XValue(-10))]
