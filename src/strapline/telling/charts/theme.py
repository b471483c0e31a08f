"""The look of every picture: sizes, letters, and a colour and a dash for each device."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

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


# A colour as a specification has it, and the credit: by name, so that they can change without it.
Value = dict[str, str]
INK, PAPER, REFERENCE, BAND = ({"expr": part} for part in ("ink", "paper", "reference", "band"))
_DEVICE = "devices[{} % length(devices)]"
CREDIT = {"expr": "credit"}
# Of each row, as `Style.of_row` gives it.
OF_ROW = {"value": {"expr": _DEVICE.format("datum.place")}}


@dataclass(frozen=True)
class Look:
    """What all pictures of a run share, and the frame that one fills; devices of `bench` keep
    their colour and dash from one picture to another."""

    bench: tuple[str, ...] = ()
    frame: Frame = WIDE


@dataclass(frozen=True)
class Style:
    """`place`: of its colour among those of the palette, from the first again after the last."""

    place: int

    @property
    def colour(self) -> Value:
        return {"expr": _DEVICE.format(self.place)}

    @property
    def dash(self) -> tuple[int, ...]:
        return DASHES[self.place % len(DASHES)]

    @property
    def shape(self) -> str:
        return SHAPES[self.place % len(SHAPES)]

    @property
    def of_row(self) -> dict[str, Any]:
        """Colour and shape, for a row."""
        return {"place": self.place, "shape": self.shape}


def styles(devices: Iterable[str], bench: Sequence[str] = ()) -> dict[str, Style]:
    """A style for each device. One of `bench` keeps its own as long as no other has it."""
    wanted = list(dict.fromkeys(devices))
    places: dict[str, int] = {}
    for device in sorted(wanted, key=lambda name: name not in bench):
        place = bench.index(device) % len(DASHES) if device in bench else 0
        while place in places.values():
            place += 1
        places[device] = place
    return {device: Style(places[device]) for device in wanted}


def font_file(style: str) -> Path:
    """The bundled letters, in the style 'Regular' or 'SemiBold'."""
    return FONTS / f"{FONT.replace(' ', '')}-{style}.ttf"
