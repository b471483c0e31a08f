"""What all pages share beside their words: how they look, and what draws their pictures."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import vl_convert

from strapline.telling.charts.font import FONTS, WEIGHTS, font_file
from strapline.telling.drawings.drawings import every_drawing
from strapline.telling.drawings.palette import coloured, on_dark
from strapline.telling.drawings.render import VEGA_LITE

if TYPE_CHECKING:
    from strapline.ground.settings import Palette

# All of it that a page calls.
_GLOBAL = "window.vegaEmbed = vegaEmbed;"
_TEMPLATES = Path(__file__).parent / "templates"


def content(name: str) -> bytes:
    """Of the file of that name, one of LOOKS in `ground/report_files.py`."""
    return (_MADE.get(name) or _kept)(name)


def themed(palette: Palette) -> str:
    """The script that holds the colours of pictures, on paper and on a dark screen."""
    return _constant("THEME", {"light": coloured(palette), "dark": coloured(on_dark(palette))})


def _constant(name: str, value: Any) -> str:
    return f'"use strict";\nconst {name} = {json.dumps(value, separators=(",", ":"))};\n'


def _kept(name: str) -> bytes:
    return (_TEMPLATES / name).read_bytes()


def _letters(name: str) -> bytes:
    return (FONTS / name).read_bytes()


def _drawing(_: str) -> bytes:
    return vl_convert.javascript_bundle(_GLOBAL, vl_version=VEGA_LITE).encode()


_MADE: dict[str, Callable[[str], bytes]] = {
    "drawing.js": _drawing,
    "drawings.js": lambda _: _constant("DRAWINGS", every_drawing()).encode(),
    "letters-licence.txt": lambda _: _letters("OFL.txt"),
    **dict.fromkeys((font_file(style).name for style in WEIGHTS), _letters),
}
