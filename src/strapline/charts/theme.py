"""The look of every picture: sizes, letters, and a colour and a dash for each device."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from strapline.settings import Presentation

FONT = "Strapline Sans"
FONTS = Path(__file__).parent / "fonts"

# A picture fills a video frame. At half that width, on a phone held sideways, the smallest
# text is still 13 pixels high.
FRAME_WIDTH = 1920
FRAME_HEIGHT = 1080
TITLE = 46
LABEL = 32
SMALL = 27

REFERENCE_WIDTH = 8
DEVICE_WIDTH = 3.5
# The reference alone is solid, so that a device is told from it, and from others, without colour.
DASHES = ((12, 5), (3, 5), (22, 5, 3, 5), (6, 9), (22, 9))


@dataclass(frozen=True)
class Style:
    colour: str
    dash: tuple[int, ...]


def styles(
    devices: Iterable[str], presentation: Presentation, bench: Sequence[str] = ()
) -> dict[str, Style]:
    """A style for each device. One of `bench` keeps its own as long as no other has it."""
    wanted = list(dict.fromkeys(devices))
    places: dict[str, int] = {}
    for device in sorted(wanted, key=lambda name: name not in bench):
        place = bench.index(device) % len(DASHES) if device in bench else 0
        while place in places.values():
            place += 1
        places[device] = place
    return {device: _style(places[device], presentation) for device in wanted}


def _style(place: int, presentation: Presentation) -> Style:
    colours = presentation.devices
    return Style(colours[place % len(colours)], DASHES[place % len(DASHES)])


def config(presentation: Presentation) -> dict[str, Any]:
    """The Vega-Lite configuration that makes a chart one of ours."""
    ink = presentation.ink
    quiet = {"domain": False, "ticks": False, "gridColor": ink, "gridOpacity": 0.14}
    words = {"labelColor": ink, "labelFont": FONT, "labelFontSize": SMALL, "titleColor": ink}
    return {
        "aria": False,
        "background": presentation.paper,
        "font": FONT,
        "axis": {
            **quiet,
            **words,
            "labelPadding": 10,
            "titleFont": FONT,
            "titleFontSize": SMALL,
            "titleFontWeight": 400,
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
            "subtitlePadding": 12,
            "offset": 26,
        },
        "view": {"stroke": None},
        "concat": {"spacing": 24},
    }
