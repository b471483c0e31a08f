"""How each picture is drawn, by its name: in Altair, once in each size."""

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from strapline.telling.charts.build_up import BUILD_UP, DIFFERENCES
from strapline.telling.drawings.band_minutes import band_minutes
from strapline.telling.drawings.curves import curves
from strapline.telling.drawings.dots import bland_altman, scatter
from strapline.telling.drawings.forest import forest
from strapline.telling.drawings.grid import grid
from strapline.telling.drawings.head_to_head import head_to_head
from strapline.telling.drawings.parts import specification
from strapline.telling.drawings.size import SIZES, Size
from strapline.telling.drawings.standings import standings
from strapline.telling.drawings.traces import build_up, close_up, differences, traces
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
    "ranking": grid,
    "sessions-map": grid,
    "head-to-head": head_to_head,
    "forest": forest,
    "trend": trend,
}
# Those that no page shows: frames of a video.
FOR_VIDEO: Mapping[str, Callable[[Size], Any]] = {
    BUILD_UP: build_up,
    DIFFERENCES: differences,
    "close-up": close_up,
}
_NUMBER = re.compile(r"-\d+$")


@cache
def drawing(name: str, size: Size) -> dict[str, Any]:
    """The specification of the picture of that name, without data, colours and title. Several of a
    kind are numbered: 'build-up-1'."""
    kind = _kind(name)
    return specification((DRAWINGS.get(kind) or FOR_VIDEO[kind])(size), size)


def is_for_video(name: str) -> bool:
    """Whether it is a frame of a video."""
    return _kind(name) in FOR_VIDEO


def _kind(name: str) -> str:
    return _NUMBER.sub("", name)


def every_drawing() -> dict[str, dict[str, Any]]:
    """All of them by name and size."""
    return {name: {size.name: drawing(name, size) for size in SIZES} for name in DRAWINGS}
