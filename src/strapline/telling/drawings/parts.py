"""Parts that drawings share. Colours are named here, and stand in the report's theme."""

from typing import Any

import altair as alt

from strapline.telling.drawings.size import Size

INK, PAPER, REFERENCE, BAND = map(alt.ExprRef, ("ink", "paper", "reference", "band"))
# Of colours: more than any palette has; from the first again after the last.
_PLACES = list(range(16))
# How much the strap's line covers, a broad band behind those of devices.
STRAP = 0.4
# As grey as its name may be and still be read: 4.5 times as light or dark as the paper.
STRAP_NAME = 0.6
# For what stands once in each panel.
ONCE = alt.InlineData([{}])


def colour(field: str = "place") -> Any:
    """That of a device, by its place among those of the palette; the strap's is -1."""
    strap = alt.when(f"datum.{field} < 0").then(alt.value(REFERENCE))
    return strap.otherwise(alt.Color(f"{field}:N", scale=alt.Scale(domain=_PLACES), legend=None))


def between(low: str, high: str, **more: Any) -> alt.Scale:
    """A scale from one parameter to another, exactly."""
    return alt.Scale(domain=[alt.ExprRef(low), alt.ExprRef(high)], nice=False, **more)


def axis(most: int, **more: Any) -> alt.Axis:
    """Figures at some `most` round values."""
    return alt.Axis(**{"title": None, "tickCount": most, **more})


def panels(layers: Any, of: str, size: Size, columns: int, apart: float, left: float) -> Any:
    """A panel for each value of a field of a data set, `of` 'data.field', under its words in
    `headings`; `left`: what stands left of a panel."""
    data, name = of.split(".")
    room = size.width if columns == 1 else size.panel
    words = "headings[datum.value]"
    in_a_line = f"isArray({words}) ? {words}[0] + ': ' + join(slice({words}, 1), ' ') : {words}"
    said = in_a_line if size.columns > 1 else words
    header = alt.Header(title=None, labelExpr=said, labelLimit=room - left)
    facet = alt.Facet(f"{name}:N", header=header)
    return layers.facet(facet=facet, columns=columns, data=alt.NamedData(data), spacing=apart)


def names_at_ends(x: alt.X, scale: alt.Scale, size: Size) -> Any:
    """Of the data set `ends`: each line led on to its name where it is to be, in its colour; where
    there is no room for that, the names above the panel."""
    base = alt.Chart(alt.NamedData("ends")).encode(color=colour())
    if size.names_above:
        return _above(base, size)
    start = size.plot + 0.7 * size.text
    leader = (
        base.transform_filter("datum.led")
        .mark_rule(strokeWidth=1)
        .encode(x=x, x2=alt.X2Value(start), y=alt.Y("y:Q", scale=scale), y2=alt.Y2("at:Q"))
    )
    # As its line: the strap's is grey where others are in full colour.
    name = beside(base, "lines", start + 0.3 * size.text, size.names - size.text, size).encode(
        y=alt.Y("at:Q", scale=scale), opacity=covers(STRAP_NAME)
    )
    return leader + name + edge(size.plot + size.names)


def _above(base: alt.Chart, size: Size) -> Any:
    """Names one under the other, each after a piece of its line."""
    up = f"-{1.3 * size.text} * (datum.count - datum.nth + 1)"
    rows = base.transform_window(nth="row_number()").transform_joinaggregate(count="count()")
    rows = rows.encode(y=alt.YValue(0))
    piece = rows.mark_rule(strokeWidth=4, yOffset=alt.ExprRef(up)).encode(
        x=alt.XValue(0), x2=alt.X2Value(1.4 * size.text), opacity=covers(STRAP)
    )
    look: Any = {"align": "left", "baseline": "middle", "fontWeight": 600}
    look["limit"] = size.plot - 2 * size.text
    name = rows.mark_text(**look, dy=alt.ExprRef(up))
    name = name.encode(
        x=alt.XValue(2 * size.text), text=alt.Text("label:N"), opacity=covers(STRAP_NAME)
    )
    return piece + name + edge(size.plot)


def covers(strap: float) -> Any:
    """The opacity of the strap's part, and of others in full."""
    return alt.when("datum.place < 0").then(alt.value(strap)).otherwise(alt.value(1))


def beside(base: alt.Chart, lines: str, x: float, room: float, size: Size) -> Any:
    """The lines of words that a field holds, from pixel `x` on in so much `room`, with their middle
    at its place."""
    up = alt.ExprRef(f"-{0.55 * size.text} * (length(datum.{lines}) - 1)")
    look: Any = {"align": "left", "baseline": "middle", "fontWeight": 600, "dy": up}
    look["limit"] = room
    text = base.mark_text(**look, lineHeight=1.1 * size.text)
    return text.encode(x=alt.XValue(x), text=alt.Text(f"{lines}:N"))


def edge(right: float) -> Any:
    """Nothing to be seen: drawings of a kind are of one width, whatever stands at their right."""
    at: Any = {"x": alt.XValue(right), "y": alt.YValue(1)}
    return alt.Chart(ONCE).mark_point(opacity=0, size=1).encode(**at)


def specification(chart: Any, size: Size) -> dict[str, Any]:
    """It in this size's letters, without data, colours and title."""
    words: Any = {"labelFontSize": size.text, "titleFontSize": size.text}
    bold: Any = {"fontSize": size.text, "fontWeight": 600, "anchor": "start", "frame": "group"}
    header: Any = {"labelFontSize": size.text, "labelLineHeight": 1.2 * size.text}
    # Each method of a chart copies all of it.
    chart.config = alt.Config(
        axis=alt.AxisConfig(**words),
        text=alt.MarkConfig(fontSize=size.text),
        header=alt.HeaderConfig(**header, labelFontWeight=600, labelAnchor="start"),
        title=alt.TitleConfig(**bold),
    )
    whole: dict[str, Any] = chart.to_dict(validate=False)
    return whole
