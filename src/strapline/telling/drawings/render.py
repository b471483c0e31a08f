"""Drawings for whoever publishes: a picture as SVG and PNG; the same bytes for the same picture.

Pages hold no drawing: the reader's browser makes one.
"""

import base64
import json
import re
from collections.abc import Mapping
from functools import cache
from typing import Any

import vl_convert

from strapline.telling.charts.font import FONT, FONTS, WEIGHTS, font_file
from strapline.telling.charts.picture import Content, Picture, by_row
from strapline.telling.drawings.drawings import drawing
from strapline.telling.drawings.size import Size

DRAWING = ".svg"
VEGA_LITE = "v6.4"

_NUMBER = re.compile(r"(-?\d+\.\d{2,}(?:e-?\d+)?)")
# Only what stands in tags is changed: what a label says is nobody's to change.
_RAW = re.compile(
    r'>[^<]*|(?P<clip>(?<=["#])clip\d+(?=[")]))'
    r'|(?P<name> (?:d|transform|x|y|x1|x2|y1|y2|width|height)=")(?P<geometry>[^"]*)'
)
_OPENING = re.compile(r"<svg [^>]*>")


@cache
def _start() -> None:
    """Make the letters known to the renderer."""
    vl_convert.register_font_directory(str(FONTS))


def whole(
    name: str, picture: Picture, content: Content, size: Size, coloured: Mapping[str, Any]
) -> dict[str, Any]:
    """The specification of a picture with its data, its title and its colours, as
    `palette.coloured` makes them."""
    own = drawing(name, size)
    given = dict(coloured["values"]) | dict(content.values)
    sets = {key: by_row(columns) for key, columns in content.datasets.items()}
    return own | {
        "title": {"text": picture.title, "subtitle": content.subtitle},
        "description": picture.alt,
        "params": [
            *own.get("params", []),
            *({"name": key, "value": value} for key, value in given.items()),
        ],
        "datasets": own.get("datasets", {}) | sets,
        "config": _merged(coloured["config"], own["config"]),
    }


def drawn(specification: Mapping[str, Any]) -> str:
    """A whole specification as SVG, without its title."""
    _start()
    untitled = {key: part for key, part in specification.items() if key != "title"}
    text = json.dumps(untitled | {"padding": 0}, ensure_ascii=False)
    return _tidied(vl_convert.vegalite_to_svg(text, vl_version=VEGA_LITE, allowed_base_urls=[]))


def pixels(drawing: str, scale: float = 1) -> bytes:
    """The SVG `drawing` as PNG, `scale` pixels a unit."""
    _start()
    return bytes(vl_convert.svg_to_png(drawing, scale=scale))


def standing_alone(drawing: str) -> str:
    """The SVG `drawing` with its letters inside, so that it looks the same anywhere."""
    letters = "".join(_face(style, weight) for style, weight in WEIGHTS.items())
    return _OPENING.sub(lambda opening: f"{opening[0]}<style>{letters}</style>", drawing, count=1)


def _merged(theirs: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Both configurations, part by part."""
    names = theirs.keys() | own.keys()
    return {
        name: own[name] | theirs[name]
        if name in theirs and name in own
        else (own.get(name) or theirs[name])
        for name in sorted(names)
    }


@cache
def _face(style: str, weight: int) -> str:
    """A CSS rule that holds the letters themselves."""
    letters = base64.b64encode(font_file(style).read_bytes()).decode()
    return (
        f'@font-face{{font-family:"{FONT}";font-weight:{weight};'
        f"src:url(data:font/ttf;base64,{letters})}}"
    )


def _tidied(raw: str) -> str:
    """Rounded, and with clips numbered from 0: the renderer goes on counting from one picture to
    the next."""
    places: dict[str, int] = {}

    def tidy(found: re.Match[str]) -> str:
        if found["name"]:
            return found["name"] + _rounded(found["geometry"])
        if found["clip"]:
            return f"clip{places.setdefault(found['clip'], len(places))}"
        return found[0]

    return _RAW.sub(tidy, raw)


def _rounded(geometry: str) -> str:
    """A tenth of a pixel is finer than any screen shows, and half as long to write."""
    parts = _NUMBER.split(geometry)
    parts[1::2] = [f"{float(number):.1f}" for number in parts[1::2]]
    return "".join(parts).replace(".0,", ",")
