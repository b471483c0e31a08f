"""From a chart to files and to SVG that a page can hold; the same bytes for the same chart."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape, unescape

import vl_convert

from strapline.ground.files import write_text
from strapline.telling.charts import theme

# What a chart's files end in: the drawing, and what it was drawn from.
DRAWING, SOURCE = ".svg", ".vl.json"
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
# A picture is one image with one text; its parts are not images of their own.
_PART = re.compile(r' role="graphics-[a-z]+"(?: aria-roledescription="[^"]*")?')
_NAMED = re.compile(r' id="|url\(#|href="#')
_OPENING = re.compile(r"<svg [^>]*>")
_SIZE = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')
_ALT = re.compile(r"<desc>(.*?)</desc>", re.DOTALL)


@dataclass(frozen=True)
class Specification:
    """A Vega-Lite specification with its title and its alternative text."""

    spec: dict[str, Any]
    title: str
    alt: str
    frame: theme.Frame = theme.WIDE

    @cached_property
    def source(self) -> str:
        """The specification as JSON."""
        return json.dumps(self.spec, ensure_ascii=False, separators=(",", ":")) + "\n"

    @property
    def subtitle(self) -> list[str]:
        """How to read it, line by line."""
        lines: list[str] = self.spec.get("title", {}).get("subtitle", [])
        return lines


@dataclass(frozen=True)
class Picture:
    """A chart as a page shows it: SVG to stand in the HTML, and its alternative text."""

    name: str
    alt: str
    svg: str


@cache
def start() -> None:
    """Start the renderer, which takes as long as several pictures, and make the letters known to
    it; once a process."""
    vl_convert.register_font_directory(str(theme.FONTS))
    vl_convert.vegalite_to_svg({"mark": "point"}, vl_version=VEGA_LITE, allowed_base_urls=[])


def drawn(chart: Specification, exact: bool = False) -> str:
    """The chart as SVG, in the middle of its frame.

    A list that is far too long for the frame makes it taller, unless `exact`: then it is shown
    smaller.
    """
    start()
    raw = vl_convert.vegalite_to_svg(chart.source, vl_version=VEGA_LITE, allowed_base_urls=[])
    return _framed(_tidied(raw), chart, exact)


def pixels(drawing: str, scale: float = 1) -> bytes:
    """The SVG `drawing` as PNG, `scale` pixels a unit."""
    start()
    return bytes(vl_convert.svg_to_png(drawing, scale=scale))


def standing_alone(drawing: str) -> str:
    """The SVG `drawing` with its letters inside, so that it looks the same anywhere."""
    letters = f"<style>{''.join(theme.faces())}</style>"
    return _OPENING.sub(lambda opening: opening[0] + letters, drawing, count=1)


def save_all(charts: Mapping[str, Specification], folder: Path) -> None:
    """Write each chart's Vega-Lite JSON and SVG as `folder`/<name>.vl.json and .svg."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, chart in charts.items():
        write_text(folder / f"{name}{SOURCE}", chart.source)
        write_text(folder / f"{name}{DRAWING}", drawn(chart))


def pictures(folder: Path) -> list[Picture]:
    """The SVG of a folder as `save_all` left it, in order of name."""
    return [
        picture(path.stem, path.read_text("utf-8")) for path in sorted(folder.glob(f"*{DRAWING}"))
    ]


def picture(name: str, drawing: str) -> Picture:
    """The SVG `drawing`, as `drawn` made it, with identifiers that begin with `name`."""
    alt = _ALT.search(drawing)
    prefix = re.sub(r"[^A-Za-z0-9_-]", "-", name)

    def own(tag: re.Match[str]) -> str:
        return _NAMED.sub(rf"\g<0>{prefix}-", _PART.sub("", tag[0]))

    inline = _TAG.sub(own, drawing)
    inline = inline.replace(
        "<svg ", f'<svg role="img" aria-labelledby="{prefix}-title {prefix}-alt" ', 1
    )
    inline = inline.replace("<title>", f'<title id="{prefix}-title">', 1)
    inline = inline.replace("<desc>", f'<desc id="{prefix}-alt">', 1)
    return Picture(name, unescape(alt[1]) if alt else "", inline)


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


def _framed(drawing: str, chart: Specification, exact: bool) -> str:
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
        f'fill="{chart.spec["config"]["background"]}"/>'
    )
    return _OPENING.sub(lambda _: opening, drawing, count=1)
