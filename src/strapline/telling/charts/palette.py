"""The colours of pictures, which no specification holds: on paper, and on a dark screen."""

from typing import Any

from strapline.ground.colours import contrast
from strapline.ground.settings import Palette
from strapline.ground.words import plain
from strapline.telling.charts.theme import BENEATH_TITLE, BETWEEN_TITLES, FONT, LABEL, SMALL, TITLE

# Of the page in `style.css`.
DARK_PAPER, DARK_INK = "#14171d", "#ece9e1"
_STEPS = 64


def coloured(palette: Palette, credit: str = "") -> dict[str, Any]:
    """What a specification lacks to be drawn: parameters, which are the colours and the line under
    the picture, and configuration."""
    values = palette.model_dump(mode="json") | {"credit": plain(credit)}
    return {
        "params": [{"name": name, "value": value} for name, value in values.items()],
        "config": _config(palette),
    }


def on_dark(palette: Palette) -> Palette:
    """Lighter twins: each colour as far from the dark paper as it is from its own."""

    def twin(colour: str, towards: str = "#ffffff") -> str:
        wanted = contrast(colour, palette.paper)
        steps = (_mixed(colour, towards, step / _STEPS) for step in range(_STEPS + 1))
        return next((c for c in steps if contrast(c, DARK_PAPER) >= wanted), towards)

    shades = (_mixed(DARK_PAPER, DARK_INK, step / _STEPS) for step in range(_STEPS + 1))
    pale = contrast(palette.band, palette.paper)
    return Palette(
        ink=DARK_INK,
        paper=DARK_PAPER,
        reference=twin(palette.reference, DARK_INK),
        devices=tuple(map(twin, palette.devices)),
        band=next(shade for shade in shades if contrast(shade, DARK_PAPER) >= pale),
    )


def _mixed(one: str, other: str, share: float) -> str:
    """`share` of the other."""
    parts = ((int(c[at : at + 2], 16) for c in (one, other)) for at in (1, 3, 5))
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in parts)


def _config(palette: Palette) -> dict[str, Any]:
    """The Vega-Lite configuration that makes a chart one of ours."""
    ink = palette.ink
    # A label that has a limit is measured again each time it is drawn.
    quiet = {"labelLimit": 0, "domain": False, "ticks": False}
    grid = {"gridColor": ink, "gridOpacity": 0.14}
    words = {"labelColor": ink, "labelFont": FONT, "labelFontSize": SMALL, "titleColor": ink}
    return {
        "aria": False,
        "background": palette.paper,
        "font": FONT,
        "axis": {
            **quiet,
            **grid,
            **words,
            "labelPadding": 10,
            "titleFont": FONT,
            "titleFontSize": SMALL,
            "titleFontWeight": 400,
            "titlePadding": 12,
        },
        "text": {"font": FONT, "fontSize": LABEL, "fill": ink},
        "title": {
            "anchor": "start",
            "frame": "bounds",
            "color": ink,
            "font": FONT,
            "fontSize": TITLE,
            "fontWeight": 600,
            "subtitleColor": ink,
            "subtitleFont": FONT,
            "subtitleFontSize": LABEL,
            "subtitlePadding": BETWEEN_TITLES,
            "offset": BENEATH_TITLE,
        },
        "view": {"stroke": None},
        "concat": {"spacing": 24},
    }
