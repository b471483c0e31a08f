"""Heart rates over a session and, a strip a device, what each got wrong."""

from typing import Any

import altair as alt

from strapline.telling.drawings.parts import (
    BAND,
    INK,
    ONCE,
    PAPER,
    REFERENCE,
    axis,
    between,
    colour,
    names_at_ends,
    panels,
)
from strapline.telling.drawings.size import Size

_RATES = {"phone": 190, "column": 230, "wide": 165}
_STRIP = {"phone": 95, "column": 105, "wide": 88}
# Times are marked on a small picture at every third of the places where a wide one has them.
_EVERY = {"phone": 3, "column": 2, "wide": 1}
_LANE = 7


def traces(size: Size) -> Any:
    """Of `strap` (s, reference, doubted), `devices` (s, place, bpm, difference; a fault: from, to),
    `left_out` (from, to, said), `ends`."""
    # Under the first panel stands the heading of the second, on a small picture in two lines.
    apart = 2.6 if size.columns == 1 else 1.6
    return alt.vconcat(_rates(size), _strips(size), bounds="flush", spacing=apart * size.text)


def _rates(size: Size) -> Any:
    scale = between("low", "high")
    x = _seconds("s", None)
    strap = alt.Chart(alt.NamedData("strap")).encode(x=x)
    devices = alt.Chart(alt.NamedData("devices")).transform_filter("!isValid(datum.to)").encode(x=x)

    def y(field: str) -> Any:
        return alt.Y(f"{field}:Q", scale=scale, axis=axis(5))

    said = alt.Chart(alt.NamedData("left_out")).transform_window(
        nth="row_number()", groupby=["said"]
    )
    once = said.transform_filter("datum.nth == 1").mark_text(
        align="left", baseline="top", dx=3, dy=2
    )
    lines = alt.layer(
        _left_out(None),
        strap.mark_line(strokeWidth=1.5, strokeDash=[2, 3], color=REFERENCE).encode(y=y("doubted")),
        strap.mark_line(strokeWidth=3.5, color=REFERENCE).encode(y=y("reference")),
        devices.mark_line(strokeWidth=3, color=PAPER).encode(y=y("bpm"), detail="place:N"),
        devices.mark_line(strokeWidth=1.8).encode(y=y("bpm"), color=colour()),
        once.encode(x=_seconds("from", None), y=alt.value(0), text="said:N"),
        names_at_ends(_seconds("x", None), scale, size),
    )
    return lines.properties(width=size.plot, height=_RATES[size.name], title="Heart rate, bpm")


def _strips(size: Size) -> Any:
    height = _STRIP[size.name]
    scale = between("lowest", "highest", range=[height, 2 * _LANE])
    times = axis(
        10,
        grid=False,
        values=alt.ExprRef(f"sequence(0, end + 1, every * {_EVERY[size.name]})"),
        labelExpr="every < 3600 ? datum.value / 60 + ' min' : datum.value / 3600 + ' h'",
    )
    x, y = _seconds("s", times), alt.Y("difference:Q", scale=scale, axis=axis(3))
    percent = alt.Chart(alt.NamedData("strap")).transform_calculate(
        above="datum.reference * percent / 100", below="-datum.above"
    )
    once = alt.Chart(ONCE)
    beats: Any = {
        "y": alt.YDatum(alt.ExprRef("beats"), type="quantitative", scale=scale),
        "y2": alt.Y2Datum(alt.ExprRef("-beats")),
    }
    of_fault = alt.Chart().transform_filter("isValid(datum.to)")
    own = alt.Chart().transform_filter("!isValid(datum.to)").encode(x=x, y=y, color=colour())
    zero = alt.YDatum(0, type="quantitative", scale=scale)
    fault: Any = {
        "x": _seconds("from", times),
        "x2": "to:Q",
        "y": alt.value(1),
        "y2": alt.value(_LANE),
    }
    layers = alt.layer(
        percent.mark_area(color=BAND, opacity=0.55, clip=True).encode(
            x=x, y=alt.Y("above:Q", scale=scale, axis=axis(3)), y2="below:Q"
        ),
        once.mark_rect(color=BAND).encode(**beats),
        _left_out(times),
        own.mark_area(opacity=0.3).encode(y2=alt.Y2Datum(0)),
        once.mark_rule(strokeWidth=1.5, color=REFERENCE).encode(y=zero),
        own.mark_line(strokeWidth=1.4),
        of_fault.mark_rect(color=INK, stroke=INK, strokeWidth=1).encode(**fault),
    ).properties(width=size.plot, height=height)
    return panels(layers, "devices.place", size, 1, size.text, size.axis)


def _left_out(times: alt.Axis | None) -> Any:
    spans = alt.Chart(alt.NamedData("left_out"))
    return spans.mark_rect(color=INK, opacity=0.12).encode(x=_seconds("from", times), x2="to:Q")


def _seconds(field: str, times: alt.Axis | None) -> Any:
    scale = alt.Scale(domain=[0, alt.ExprRef("end")], nice=False)
    return alt.X(f"{field}:Q", scale=scale, axis=times)
