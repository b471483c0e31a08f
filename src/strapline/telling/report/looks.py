"""What all pages share beside their words: how they look, and what draws their pictures."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import vl_convert

from strapline.telling.charts import theme
from strapline.telling.charts.palette import coloured, on_dark
from strapline.telling.charts.render import VEGA_LITE

if TYPE_CHECKING:
    from strapline.ground.settings import Palette

# All of it that a page calls.
_GLOBAL = "window.vegaEmbed = vegaEmbed;"
_TEMPLATES = Path(__file__).parent / "templates"


def content(name: str) -> bytes:
    """Of the file of that name, one of LOOKS in `ground/report_files.py`."""
    return (_MADE.get(name) or _kept)(name)


def themed(palette: Palette, credit: str) -> str:
    """The script that holds the colours of pictures, on paper and on a dark screen, and the line
    under each."""
    both = {"light": coloured(palette, credit), "dark": coloured(on_dark(palette), credit)}
    return f'"use strict";\nconst THEME = {json.dumps(both)};\n'


def _kept(name: str) -> bytes:
    return (_TEMPLATES / name).read_bytes()


def _letters(name: str) -> bytes:
    return (theme.FONTS / name).read_bytes()


def _drawing(_: str) -> bytes:
    return vl_convert.javascript_bundle(_GLOBAL, vl_version=VEGA_LITE).encode()


_MADE: dict[str, Callable[[str], bytes]] = {
    "drawing.js": _drawing,
    "letters-licence.txt": lambda _: _letters("OFL.txt"),
    **dict.fromkeys((theme.font_file(style).name for style in theme.WEIGHTS), _letters),
}
