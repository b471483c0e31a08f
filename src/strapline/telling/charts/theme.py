"""The look of every picture: sizes, letters, and a colour and a dash for each device."""

import base64
import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from strapline.ground.settings import Presentation

FONT = "Strapline Sans"
FONTS = Path(__file__).parent / "fonts"
WEIGHTS = {"Regular": 400, "SemiBold": 600}

MARGIN = 40


@dataclass(frozen=True)
class Frame:
    """The pixels a picture fills."""

    width: int
    height: int

    @property
    def inner(self) -> int:
        """Width between the margins."""
        return self.width - 2 * MARGIN

    @property
    def upright(self) -> bool:
        return self.height > self.width


# A picture fills a video frame, or one held upright. At half that width, on a phone, the
# smallest text is still 13 pixels high.
WIDE = Frame(1920, 1080)
UPRIGHT = Frame(1080, 1350)

TITLE = 46
LABEL = 32
SMALL = 27
BETWEEN_TITLES = 12
BENEATH_TITLE = 26

REFERENCE_WIDTH = 8
DEVICE_WIDTH = 3.5
# The reference alone is solid, so that a device is told from it, and from others, without
# colour: by its dash and by the marks that stand along it.
DASHES = ((14, 5), (2, 7), (22, 6, 2, 6), (30, 12), (14, 6, 2, 6, 2, 6))
SHAPES = ("circle", "triangle-up", "square", "diamond", "cross")


@dataclass(frozen=True)
class Look:
    """What all pictures of a run share, and the frame that one fills; devices of `bench` keep
    their colour and dash from one picture to another."""

    presentation: Presentation
    bench: tuple[str, ...] = ()
    frame: Frame = WIDE


@dataclass(frozen=True)
class Style:
    colour: str
    dash: tuple[int, ...]
    shape: str


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
    kinds = len(DASHES)
    return Style(colours[place % len(colours)], DASHES[place % kinds], SHAPES[place % kinds])


@functools.cache
def faces() -> tuple[str, ...]:
    """CSS rules that hold the letters themselves, for what must need no network."""
    return tuple(_face(style, weight) for style, weight in WEIGHTS.items())


def _face(style: str, weight: int) -> str:
    letters = base64.b64encode(font_file(style).read_bytes()).decode()
    return (
        f'@font-face{{font-family:"{FONT}";font-weight:{weight};'
        f"src:url(data:font/ttf;base64,{letters})}}"
    )


def font_file(style: str) -> Path:
    """The bundled letters, in the style 'Regular' or 'SemiBold'."""
    return FONTS / f"{FONT.replace(' ', '')}-{style}.ttf"


def config(presentation: Presentation) -> dict[str, Any]:
    """The Vega-Lite configuration that makes a chart one of ours."""
    ink = presentation.ink
    # A label that has a limit is measured again each time it is drawn.
    quiet = {"labelLimit": 0, "domain": False, "ticks": False}
    grid = {"gridColor": ink, "gridOpacity": 0.14}
    words = {"labelColor": ink, "labelFont": FONT, "labelFontSize": SMALL, "titleColor": ink}
    return {
        "aria": False,
        "background": presentation.paper,
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
