"""A line a device over one panel, each led on to its name."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from strapline.telling.charts import letters, line_ends, sheet, theme
from strapline.telling.charts.marks import Part, mark, panel, quantity

_BELOW = 84
_HEADING = 62
_SIDE = {False: 330, True: 250}


@dataclass(frozen=True)
class Plot:
    """One panel that fills a sheet: what its axes span, and the names at its right."""

    on: sheet.Sheet
    across: tuple[float, float]
    spans: tuple[float, float]
    names: Sequence[str]
    notes: Sequence[str] = ()

    @cached_property
    def labels(self) -> list[list[str]]:
        """The lines of each name, and of the note to it."""
        notes = self.notes or [""] * len(self.names)
        return [
            [line for text in both if text for line in self._lines(text)]
            for both in zip(self.names, notes, strict=True)
        ]

    @cached_property
    def width(self) -> int:
        widest = max(
            letters.width(line, theme.LABEL, bold=True) for label in self.labels for line in label
        )
        return int(self.on.width - sheet.AXIS - line_ends.ROOM - widest)

    @property
    def height(self) -> int:
        return int(self.on.height - _BELOW - _HEADING)

    @cached_property
    def up(self) -> tuple[float, float]:
        """From `spans` to the next round value."""
        low, high = self.spans
        step = sheet.ticks_apart(high - low, 7)
        return math.floor(low / step) * step, max(math.ceil(high / step), 1) * step

    def y(self, field: str) -> Part:
        values = sheet.ticks(*self.up, 8)
        return quantity(field, self.up, {"title": None, "values": values})

    def place(self, x: float, y: float) -> tuple[float, float]:
        """The pixel of a point."""
        (left, right), (low, high) = self.across, self.up
        return (
            (x - left) / (right - left) * self.width,
            (high - y) / (high - low) * self.height,
        )

    def _lines(self, text: str) -> list[str]:
        side = _SIDE[self.on.frame.upright]
        return letters.broken(text, side, theme.LABEL, bold=True, most=3)

    def finished(
        self, layers: Sequence[Part], ends: Sequence[tuple[theme.Style, float]], heading: str
    ) -> Part:
        """The layers, with each line's name beside its last value."""
        found = [
            line_ends.Ending(label, dashed(style), self.place(self.across[1], last), style.shape)
            for label, (style, last) in zip(self.labels, ends, strict=True)
        ]
        named = line_ends.named(found, self.width, self.height)
        return panel([*layers, *named], self.width, self.height, sheet.heading(heading, self.width))


def line(name: str, place: Mapping[str, Part], style: theme.Style, **more: Any) -> Part:
    """The data set `name` in a device's colour and dash."""
    return mark("line", name, place, **dashed(style), strokeCap="round", **more)


def dashed(style: theme.Style) -> Part:
    return {
        "stroke": style.colour,
        "strokeWidth": theme.DEVICE_WIDTH + 1,
        "strokeDash": list(style.dash),
    }
