"""The colours of pictures, which no specification holds: on paper, and on a dark screen."""

from colorsys import hls_to_rgb, rgb_to_hls
from typing import Any

from strapline.ground.colours import contrast
from strapline.ground.settings import Palette
from strapline.telling.charts.font import FONT

# Of the page in `style.css`.
DARK_PAPER, DARK_INK = "#14171d", "#e8eaee"
_STEPS = 128


def coloured(palette: Palette) -> dict[str, Any]:
    """What a specification lacks to be drawn besides data: the colours, as values of parameters
    and as configuration."""
    colours = palette.model_dump(mode="json", include={"ink", "paper", "reference", "band"})
    return {"values": colours, "config": _config(palette)}


def on_dark(palette: Palette) -> Palette:
    """Lighter twins of one hue: each as far from the dark paper as the colour is from its own."""

    def twin(colour: str) -> str:
        wanted = contrast(colour, palette.paper)
        steps = (_lighter(colour, step / _STEPS) for step in range(_STEPS + 1))
        return next((c for c in steps if contrast(c, DARK_PAPER) >= wanted), "#ffffff")

    shades = (_mixed(DARK_PAPER, DARK_INK, step / _STEPS) for step in range(_STEPS + 1))
    pale = contrast(palette.band, palette.paper)
    return Palette(
        ink=DARK_INK,
        paper=DARK_PAPER,
        reference=twin(palette.reference),
        devices=tuple(map(twin, palette.devices)),
        band=next(shade for shade in shades if contrast(shade, DARK_PAPER) >= pale),
    )


def _lighter(colour: str, share: float) -> str:
    """`share` of the way to white, with its hue and saturation."""
    hue, light, saturation = rgb_to_hls(*(part / 255 for part in _parts(colour)))
    found = hls_to_rgb(hue, light + (1 - light) * share, saturation)
    return "#" + "".join(f"{round(255 * part):02x}" for part in found)


def _mixed(one: str, other: str, share: float) -> str:
    """`share` of the other."""
    parts = zip(_parts(one), _parts(other), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in parts)


def _parts(colour: str) -> tuple[int, int, int]:
    """Red, green and blue, from 0 to 255."""
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue


def _config(palette: Palette) -> dict[str, Any]:
    """The Vega-Lite configuration that makes a chart one of ours."""
    ink = palette.ink
    # A label that has a limit is measured again each time it is drawn.
    quiet = {"labelLimit": 0, "domain": False, "ticks": False, "labelPadding": 8}
    grid = {"gridColor": ink, "gridOpacity": 0.14, "titleFontWeight": 400, "titlePadding": 8}
    words = {"labelColor": ink, "labelFont": FONT, "titleColor": ink, "titleFont": FONT}
    return {
        "aria": False,
        "background": palette.paper,
        "font": FONT,
        "axis": {**quiet, **grid, **words},
        "header": {"labelColor": ink, "labelFont": FONT, "labelPadding": 6},
        "text": {"font": FONT, "fill": ink},
        "title": {"color": ink, "font": FONT, "offset": 6},
        "view": {"stroke": None},
        "range": {"category": list(palette.devices)},
    }
