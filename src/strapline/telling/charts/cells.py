"""Thousands of seconds as some hundred dots: seconds counted in square cells, a panel a device."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.telling.charts import sheet, theme
from strapline.telling.charts.marks import Part, beside, mark, quantity
from strapline.telling.charts.seconds import tens

# Widths of a cell in bpm: the first with which a device has no more than so many.
_SIZES = (2, 4, 8, 16)
_MOST = 450
_LARGEST = 28
_SMALLEST = 7
_COLUMNS = 3
_BETWEEN = 30
_HEADING = 62
_AXIS_BELOW = 76


def cells(points: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """Points of two columns in bpm, counted in cells: the columns and `seconds`; a cell's width."""
    for size in _SIZES:
        counted = (points / size).round() * size
        found = counted.value_counts(sort=False).rename("seconds").reset_index()
        if len(found) <= _MOST:
            break
    return found, size


@dataclass(frozen=True)
class Frame:
    """Panels side by side with the same scales: pixels of one, and what its axes span."""

    width: int
    height: int
    across: tuple[int, int]
    up: tuple[int, int]

    def x(self, field: str, title: str | None) -> Part:
        axis = {"title": title, "grid": False, "values": self._ticks(self.across, self.width)}
        return quantity(field, self.across, axis, padding=12)

    def y(self, field: str) -> Part:
        values = self._ticks(self.up, self.height)
        return quantity(field, self.up, {"title": None, "values": values}, padding=12)

    def down(self, value: float) -> float:
        """The pixel of `value`, from above."""
        low, high = self.up
        return 12 + (high - value) / (high - low) * (self.height - 24)

    def _ticks(self, scale: tuple[int, int], pixels: int) -> list[float]:
        return sheet.ticks(*scale, max(2, pixels // 80))


def frame(on: sheet.Sheet, panels: int, side: int, across: pd.DataFrame, up: pd.DataFrame) -> Frame:
    """Room for each of `panels`, with `side` pixels at its right kept free, and its scales."""
    columns = _columns(on, panels)
    rows = math.ceil(panels / columns)
    height = (on.height - (rows - 1) * _BETWEEN) / rows - _HEADING - _AXIS_BELOW
    width = on.width // columns - sheet.AXIS - side
    return Frame(width, max(150, int(height)), tens(across), tens(up))


def arranged(on: sheet.Sheet, panels: Sequence[Part], side: int) -> list[Part]:
    """The panels in strips, as many to one as `frame` made room for."""
    columns = _columns(on, len(panels))
    strips = [panels[start : start + columns] for start in range(0, len(panels), columns)]
    return [beside(strip, sheet.AXIS + side) for strip in strips]


def dots(
    name: str, size: int, most: int, channels: Mapping[str, Part], frame: Frame, colour: theme.Value
) -> Part:
    """A dot a cell of the data set `name`, its area by its seconds, at most `most`."""
    low, high = frame.across
    largest = min(_LARGEST, 1.1 * frame.width * size / (high - low)) ** 2
    scale = {"domain": [0, most], "range": [_SMALLEST**2, max(largest, _SMALLEST**2)]}
    area = {"field": "seconds", "type": "quantitative", "scale": scale, "legend": None}
    return mark("circle", name, {**channels, "size": area}, color=colour, opacity=0.75)


def compared_points(
    aligned: pd.DataFrame, recording: str, of: Callable[[np.ndarray, np.ndarray], dict[str, object]]
) -> pd.DataFrame:
    """What `of` makes of device and reference in the compared seconds of a recording."""
    own = aligned.loc[
        (aligned["recording"] == recording) & (aligned["status"] == Status.COMPARED),
        ["device_bpm", "reference_bpm"],
    ]
    return pd.DataFrame(of(own["device_bpm"].to_numpy(), own["reference_bpm"].to_numpy()))


def _columns(on: sheet.Sheet, panels: int) -> int:
    return 1 if on.frame.upright else min(panels, _COLUMNS)


def headed(layers: Sequence[Part], label: str, frame: Frame, side: int) -> Part:
    """The layers as a panel under a device's name."""
    name = sheet.heading(label, frame.width + side)
    return {"layer": list(layers), "width": frame.width, "height": frame.height, "title": name}
