"""Heart rates over a session and, a strip a device, what each got wrong."""

from collections.abc import Mapping
from typing import Any

import altair as alt

from strapline.telling.drawings.parts import (
    BAND,
    INK,
    ONCE,
    PAPER,
    REFERENCE,
    STRAP,
    axis,
    between,
    colour,
    names_at_ends,
    panels,
)
from strapline.telling.drawings.size import Size

# Heights by the name of a size.
Height = Mapping[str, int]
_RATES = {"phone": 190, "column": 230, "wide": 165, "upright": 230}
_STRIP = {"phone": 95, "column": 105, "wide": 88, "upright": 105}
# Of what no page shows, in frames.
_RATES_ALONE = {"upright": 900, "wide": 460}
_STRIP_ALONE = {"upright": 400, "wide": 180}
_RATES_CLOSE_UP = {"upright": 520, "wide": 275}
_STRIP_CLOSE_UP = {"upright": 330, "wide": 160}
# Times that are marked, of the ten at most that a wide picture has.
_MOST_TIMES = {"phone": 6, "column": 6, "wide": 10, "upright": 6}
_LANE = 7


def traces(size: Size) -> Any:
    """Of `strap` (s, reference), `doubted` (s, doubted), `devices` (s, place, bpm, difference; a
    fault: from, to), `left_out` (from, to, said), `ends`. Who looks into it chooses a `stretch`,
    clicks on a `fault`, or reads a second, `now`."""
    return _both(size, _RATES, _STRIP, _times(size), looked_into=True)


def close_up(size: Size) -> Any:
    """The same of a part of a session, which begins at second `first`; times are marked so."""
    at = "(datum.value + first)"
    label = f"floor({at} / 60) + ':' + pad({at} % 60, 2, '0', 'left')"
    times = _marked("(every - first % every) % every", "every", label)
    return _both(size, _RATES_CLOSE_UP, _STRIP_CLOSE_UP, times)


def build_up(size: Size) -> Any:
    """Heart rates alone, of the same data."""
    # Of a picture that is one panel, the panel's own heading would be lost.
    return alt.vconcat(_rates(size, _RATES_ALONE[size.name], _times(size)))


def differences(size: Size) -> Any:
    """How far off each device was, alone, of the same data."""
    return _strips(size, _STRIP_ALONE[size.name], _times(size))


def _both(
    size: Size,
    rates_height: Height,
    strip_height: Height,
    times: alt.Axis,
    looked_into: bool = False,
) -> Any:
    rates = _rates(size, rates_height[size.name], None, looked_into)
    strips = _strips(size, strip_height[size.name], times, looked_into)
    # Under the first panel stands the heading of the second, on a small picture in three lines.
    apart = 3.8 if size.columns == 1 else 1.6
    return alt.vconcat(rates, strips, bounds="flush", spacing=apart * size.text)


def _rates(size: Size, height: int, times: alt.Axis | None, looked_into: bool = False) -> Any:
    scale, thin = between("low", "high"), 1.8 if size.columns > 1 else 1.35
    x = _seconds("s", times)
    strap = alt.Chart(alt.NamedData("strap")).encode(x=x)
    doubted = alt.Chart(alt.NamedData("doubted")).encode(x=x)
    devices = alt.Chart(alt.NamedData("devices")).transform_filter("!isValid(datum.to)").encode(x=x)

    def y(field: str) -> Any:
        return alt.Y(f"{field}:Q", scale=scale, axis=axis(5))

    said = alt.Chart(alt.NamedData("left_out")).transform_window(
        nth="row_number()", groupby=["said"]
    )
    once = said.transform_filter("datum.nth == 1").mark_text(
        align="left", baseline="top", dx=3, dy=2
    )
    return alt.layer(
        _left_out(times),
        doubted.mark_line(strokeWidth=1.5, strokeDash=[2, 3], color=REFERENCE).encode(
            y=y("doubted")
        ),
        strap.mark_line(strokeWidth=3 * thin, opacity=STRAP, color=REFERENCE).encode(
            y=y("reference")
        ),
        devices.mark_line(strokeWidth=thin + 1, color=PAPER).encode(
            y=y("bpm"), detail=alt.Detail("place:N")
        ),
        devices.mark_line(strokeWidth=thin).encode(y=y("bpm"), color=colour()),
        once.encode(x=_seconds("from", times), y=alt.YValue(0), text=alt.Text("said:N")),
        names_at_ends(_seconds("x", times), scale, size),
        *(_chosen(x) if looked_into else ()),
        width=size.plot,
        height=height,
        title="Heart rate, bpm",
    )


def _chosen(x: alt.X) -> tuple[Any, Any]:
    """What lets a stretch be chosen, and the second that is read, if any is."""
    mark = alt.BrushConfig(cursor="grab")
    stretch = alt.selection_interval(name="stretch", encodings=["x"], zoom=False, mark=mark)
    seconds = alt.Chart(ONCE, name="seconds").mark_point(opacity=0)
    at: Any = alt.XDatum(alt.ExprRef("now"), type="quantitative")
    now = alt.Chart(ONCE).mark_rule(color=INK, opacity=alt.ExprRef("now < 0 ? 0 : 1"))
    return seconds.encode(x=x).add_params(stretch), now.encode(x=at)


def _strips(size: Size, height: int, times: alt.Axis, looked_into: bool = False) -> Any:
    scale = between("lowest", "highest", range=[height, 2 * _LANE])
    x, y = _seconds("s", times), alt.Y("difference:Q", scale=scale, axis=axis(3))
    # Some seconds of so slow a band are as good as all.
    percent = (
        alt.Chart(alt.NamedData("strap"))
        .transform_filter("datum.s % 5 === 0")
        .transform_calculate(above="datum.reference * percent / 100", below="-datum.above")
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
        "x2": alt.X2("to:Q"),
        "y": alt.YValue(1),
        "y2": alt.Y2Value(_LANE),
    }
    layers = alt.layer(
        *([_clicked(of_fault.encode(**fault))] if looked_into else []),
        percent.mark_area(color=BAND, opacity=0.55, clip=True).encode(
            x=x, y=alt.Y("above:Q", scale=scale, axis=axis(3)), y2=alt.Y2("below:Q")
        ),
        once.mark_rect(color=BAND).encode(**beats),
        _left_out(times),
        own.mark_area(opacity=0.3).encode(y2=alt.Y2Datum(0)),
        once.mark_rule(strokeWidth=1.5, color=REFERENCE).encode(y=zero),
        own.mark_line(strokeWidth=1.4),
        of_fault.mark_rect(color=INK, stroke=INK, strokeWidth=1).encode(**fault),
        width=size.plot,
        height=height,
    )
    return panels(layers, "devices.place", size, 1, size.text, size.axis)


def _clicked(faults: Any) -> Any:
    """What takes a click on a fault, or on the little room around it."""
    clicked = alt.selection_point(name="fault", fields=["from", "to"], toggle=False)
    room = faults.mark_rect(opacity=0, cursor="pointer", stroke=INK, strokeWidth=_LANE)
    return room.properties(name="faults").add_params(clicked)


def _times(size: Size) -> alt.Axis:
    label = "every < 3600 ? datum.value / 60 + ' min' : datum.value / 3600 + ' h'"
    return _marked("0", f"every * ceil(end / every / {_MOST_TIMES[size.name]})", label)


def _marked(first: str, every: str, label: str) -> alt.Axis:
    values = alt.ExprRef(f"sequence({first}, end + 1, {every})")
    return axis(10, grid=False, values=values, labelExpr=label)


def _left_out(times: alt.Axis | None) -> Any:
    spans = alt.Chart(alt.NamedData("left_out"))
    return spans.mark_rect(color=INK, opacity=0.12).encode(
        x=_seconds("from", times), x2=alt.X2("to:Q")
    )


def _seconds(field: str, times: alt.Axis | None) -> Any:
    scale = alt.Scale(domain=[0, alt.ExprRef("end")], nice=False)
    return alt.X(f"{field}:Q", scale=scale, axis=times)
