"""Drawings for whoever publishes: a chart as SVG and PNG; the same bytes for the same chart.

Pages hold no drawing: the reader's browser makes one of the specification.
"""

import base64
import json
import re
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

import vl_convert

from strapline.telling.charts import theme
from strapline.telling.charts.specification import Specification

DRAWING = ".svg"
VEGA_LITE = "v6.4"
MARGIN = 32
# A sheet not much taller than its frame is shown a little smaller; a long list makes it taller.
TALLER = 1.15

_NUMBER = re.compile(r"(-?\d+\.\d{2,}(?:e-?\d+)?)")
# Only what stands in tags is changed: what a label says is nobody's to change.
_TAG = re.compile(r"<[^>]*>")
_RAW = re.compile(
    r'>[^<]*|(?P<clip>(?<=["#])clip\d+(?=[")]))'
    r'|(?P<name> (?:d|transform|x|y|x1|x2|y1|y2|width|height)=")(?P<geometry>[^"]*)'
)
_OPENING = re.compile(r"<svg [^>]*>")
_SIZE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


@cache
def _start() -> None:
    """Make the letters known to the renderer."""
    vl_convert.register_font_directory(str(theme.FONTS))


def drawn(chart: Specification, coloured: dict[str, Any], exact: bool = False) -> str:
    """The chart as SVG, in the middle of its frame; `coloured`: as `palette.coloured` makes it.

    A list that is far too long for the frame makes it taller, unless `exact`: then it is shown
    smaller.
    """
    _start()
    whole = json.dumps(chart.spec | coloured, ensure_ascii=False)
    raw = vl_convert.vegalite_to_svg(whole, vl_version=VEGA_LITE, allowed_base_urls=[])
    return _framed(_tidied(raw), chart, coloured["config"]["background"], exact)


def pixels(drawing: str, scale: float = 1) -> bytes:
    """The SVG `drawing` as PNG, `scale` pixels a unit."""
    _start()
    return bytes(vl_convert.svg_to_png(drawing, scale=scale))


def standing_alone(drawing: str) -> str:
    """The SVG `drawing` with its letters inside, so that it looks the same anywhere."""
    letters = "".join(_face(style, weight) for style, weight in theme.WEIGHTS.items())
    return _OPENING.sub(lambda opening: f"{opening[0]}<style>{letters}</style>", drawing, count=1)


@cache
def _face(style: str, weight: int) -> str:
    """A CSS rule that holds the letters themselves."""
    letters = base64.b64encode(theme.font_file(style).read_bytes()).decode()
    return (
        f'@font-face{{font-family:"{theme.FONT}";font-weight:{weight};'
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


def _framed(drawing: str, chart: Specification, paper: str, exact: bool) -> str:
    size = _SIZE.search(drawing)
    assert size is not None, "the renderer always states a size"
    width, height = float(size[1]), float(size[2])
    frame = chart.frame
    shape = frame.width / frame.height
    across = max(frame.width, width + 2 * MARGIN)
    down = height + 2 * MARGIN
    if exact or down <= TALLER * across / shape:
        across = max(across, down * shape)
        down = across / shape
    left, top = round((width - across) / 2, 1), round((height - down) / 2, 1)
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" '
        f'width="{frame.width}" height="{round(down * frame.width / across)}" '
        f'viewBox="{left:g} {top:g} {across:g} {down:g}">'
        f"<title>{escape(chart.title)}</title><desc>{escape(chart.alt)}</desc>"
        f'<rect x="{left:g}" y="{top:g}" width="{across:g}" height="{down:g}" '
        f'fill="{paper}"/>'
    )
    return _OPENING.sub(lambda _: opening, drawing, count=1)
