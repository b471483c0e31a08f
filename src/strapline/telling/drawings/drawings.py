"""How each picture is drawn, by its name: in Altair, once in each size."""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from strapline.telling.drawings.band_minutes import band_minutes
from strapline.telling.drawings.curves import curves
from strapline.telling.drawings.dots import bland_altman, scatter
from strapline.telling.drawings.forest import forest
from strapline.telling.drawings.grid import grid
from strapline.telling.drawings.parts import specification
from strapline.telling.drawings.size import SIZES, Size
from strapline.telling.drawings.standings import standings
from strapline.telling.drawings.traces import traces
from strapline.telling.drawings.trend import trend

DRAWINGS: Mapping[str, Callable[[Size], Any]] = {
    "traces": traces,
    "cumulative": curves("Off by no more than, bpm", "beats"),
    "scatter": scatter,
    "response": curves("Change of the strap, bpm in 10 s", 0, level=0),
    "bland-altman": bland_altman,
    "error-by-offset": curves("Seconds added to the device’s clock", 0),
    "band-minutes": band_minutes,
    "standings": standings,
    "heat-table": grid,
    "sessions-map": grid,
    "forest": forest,
    "trend": trend,
}


@cache
def drawing(name: str, size: Size) -> dict[str, Any]:
    """The specification of the picture of that name, without data, colours and title."""
    return specification(DRAWINGS[name](size), size)


def every_drawing() -> dict[str, dict[str, Any]]:
    """All of them by name and size."""
    return {name: {size.name: drawing(name, size) for size in SIZES} for name in DRAWINGS}
