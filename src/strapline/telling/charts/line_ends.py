"""Lines led on to their names at the right of a panel, instead of a legend."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from strapline.telling.charts import sheet, theme
from strapline.telling.charts.marks import Part, as_given, mark, pixel

_LEADER = 46
_GAP = 20
# From the end of a panel to the names, which come on top.
ROOM = _LEADER + _GAP + 6
_LINE = 1.15 * theme.LABEL
_SHAPE = 330
# Thinner than any line of values, so that it is not taken for one.
_THIN = 2


@dataclass(frozen=True)
class Ending:
    """A name in lines, how its line looks, the pixel at which it ends, and its device's shape."""

    lines: Sequence[str]
    look: Mapping[str, Any]
    end: tuple[float, float]
    shape: str | None = None


def named(endings: Sequence[Ending], width: float, height: float) -> list[Part]:
    """A leader, a device's shape and a name for each line that ends within `width` by `height`
    pixels."""
    tallest = max((len(ending.lines) for ending in endings), default=1)
    half = _LINE * tallest / 2
    wanted = [ending.end[1] for ending in endings]
    places = sheet.spread(wanted, 2 * half + 4, half, height - half)
    return [
        layer
        for ending, place in zip(endings, places, strict=True)
        for layer in _named(ending, place, width)
    ]


def shapes(rows: Sequence[Mapping[str, Any]], place: Mapping[str, Any]) -> Part:
    """The shape of each row in its colour, with a pale edge."""
    channels = {**place, "fill": theme.OF_ROW, "shape": as_given("shape")}
    look = {"size": _SHAPE, "stroke": theme.PAPER, "strokeWidth": 2, "opacity": 1}
    return mark("point", rows, channels, filled=True, **look)


def _named(ending: Ending, place: float, width: float) -> list[Part]:
    x, y = ending.end
    leader = {
        "x": pixel(x),
        "x2": pixel(width + _LEADER),
        "y": pixel(y),
        "y2": pixel(place),
    }
    first = place - _LINE / 2 * (len(ending.lines) - 1)
    name = {"x": pixel(width + _LEADER + _GAP), "y": pixel(first)}
    style = {"fontSize": theme.LABEL, "fontWeight": 600, "lineHeight": _LINE}
    at = {"x": pixel(width + _LEADER), "y": pixel(place)}
    look = {"size": _SHAPE, "color": ending.look["stroke"], "filled": True, "opacity": 1}
    shape = [mark("point", [{}], at, shape=ending.shape, **look)] if ending.shape else []
    return [
        mark("rule", [{}], leader, **{**ending.look, "strokeWidth": _THIN}),
        *shape,
        mark(
            "text",
            [{}],
            name,
            text=list(ending.lines),
            align="left",
            baseline="middle",
            color=ending.look["stroke"],
            **style,
        ),
    ]
