"""What the edges of a plot in a picture stand for: what the tester says, and what it comes to."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from strapline.ground.documents import Strict, between
from strapline.ground.records.elapsed import Elapsed

# What is shorter is minutes taken for seconds, or times of day for times since the start.
SHORTEST_S = 60.0
# What a card says of a plot, to be filled in: as it stands here it is refused.
TO_FILL_IN = "left: time-at-left, right: time-at-right, bottom: bpm-at-bottom, top: bpm-at-top"

# The picture's own edge is half a pixel before the middle of its first.
_Pixel = Annotated[float, between(-0.5, 100_000)]
_Rate = Annotated[float, between(0, 300)]


class Picture(Strict):
    """The heart rates and times at the edges of a plot; where it is, in pixels, counted from 0 at
    the middle of the picture's upper left one: left, top, right, bottom; and the curve's colour."""

    left: Elapsed
    right: Elapsed
    bottom: _Rate
    top: _Rate
    area: tuple[_Pixel, _Pixel, _Pixel, _Pixel] | None = None
    colour: Annotated[
        str | None, Field(pattern="^#[0-9a-fA-F]{6}$", description="such as '#c2334d'")
    ] = None

    @model_validator(mode="after")
    def _in_order(self) -> Picture:
        if self.top <= self.bottom:
            raise ValueError("must have 'top' above 'bottom', in bpm")
        if self.right <= self.left:
            raise ValueError("must have 'right' after 'left'")
        if self.right - self.left < SHORTEST_S:
            raise ValueError(
                "must have 'right' a minute or more after 'left', in minutes and seconds from the "
                'start and not as times of day, such as "0:00" and "24:30"'
            )
        if self.area and not (self.area[0] < self.area[2] and self.area[1] < self.area[3]):
            raise ValueError("must have 'area' as [left, top, right, bottom], in pixels")
        return self

    @property
    def red_green_blue(self) -> tuple[int, int, int] | None:
        if self.colour is None:
            return None
        red, green, blue = bytes.fromhex(self.colour[1:])
        return red, green, blue


class Resolution(Strict):
    """How fine a picture shows a heart rate, and what of it could be read: the columns of its plot,
    those without a curve, those left out because two candidates remained, and those left out
    because one line does not explain what is drawn in them."""

    column_s: float
    pixel_bpm: float
    columns: int
    empty: int
    doubtful: int
    unexplained: int = 0

    @property
    def read(self) -> int:
        return self.columns - self.empty - self.doubtful - self.unexplained

    @property
    def shortest_fault_s(self) -> float:
        """What is shorter is not looked for: a middle and two sides are three columns."""
        return 3 * self.column_s
