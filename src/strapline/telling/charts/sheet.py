"""What all charts share: the sheet they stand on, placing labels, and writing numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import Clocks, Scope
from strapline.ground.words import counted, plain
from strapline.telling.charts import letters, theme
from strapline.telling.charts.marks import Part, below, mark, panel, pixel
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.tenth import number

# Room for the labels of an axis.
AXIS = 76

# How the clocks are, in the view that pictures show.
CLOCKS = "clocks by evidence"

HOURS_FROM = 180

_LEADING = 2


@dataclass(frozen=True)
class Sheet:
    """A frame with a title, a subtitle and the credit; both titles are broken to its width. `alt`:
    what is read out in the picture's place."""

    made_for: theme.Look
    title: str
    alt: str
    subtitle: str = ""

    @property
    def frame(self) -> theme.Frame:
        return self.made_for.frame

    def styles(self, devices: Iterable[str]) -> dict[str, theme.Style]:
        """How each device is drawn."""
        return theme.styles(devices, self.made_for.bench)

    def explained(self, subtitle: str) -> Sheet:
        """The same with how to read the picture under its title."""
        return replace(self, subtitle=subtitle)

    @property
    def width(self) -> int:
        return self.frame.inner

    @property
    def height(self) -> float:
        """What is left for the parts."""
        titles = len(self._titles) * (theme.TITLE + _LEADING)
        if self.subtitle:
            titles += theme.BETWEEN_TITLES + len(self._subtitles) * (theme.LABEL + _LEADING)
        own = 2 * theme.MARGIN + titles + theme.BENEATH_TITLE + 1.6 * theme.SMALL
        return self.frame.height - own

    def finished(
        self,
        parts: Sequence[Part],
        between: float = 0,
        bounds: str = "flush",
        datasets: Mapping[str, list[dict[Any, Any]]] | None = None,
        left: int = AXIS,
    ) -> Specification:
        """The parts one below the other, under the titles and above the credit.

        `left`: pixels of the sheet that parts use left of their panels.
        """
        alternative = plain(self.alt)
        titles: Part = {"text": self._titles}
        if self.subtitle:
            titles["subtitle"] = self._subtitles
        spec = below(
            [*parts, self._credit(left)],
            description=alternative,
            title=titles,
            padding=0,
            bounds=bounds,
            spacing=between,
            datasets=datasets or {},
        )
        return Specification(spec, plain(self.title), alternative, self.frame)

    def saying(self) -> Specification:
        """A picture that says in words what it has nothing to show of."""
        lines = letters.broken(self.alt, self.width, theme.LABEL)
        middle = {"x": pixel(self.width / 2), "y": pixel(self.height / 2)}
        said = mark("text", [{}], middle, text=lines, align="center", fontSize=theme.LABEL)
        return self.finished([panel([said], self.width, self.height)])

    @cached_property
    def _titles(self) -> list[str]:
        return letters.broken(self.title, self.width, theme.TITLE, bold=True, most=3)

    @cached_property
    def _subtitles(self) -> list[str]:
        return letters.broken(self.subtitle, self.width, theme.LABEL)

    def _credit(self, left: int) -> Part:
        width = self.width - left
        look = {"align": "right", "baseline": "bottom", "fontSize": theme.SMALL}
        place = {"x": pixel(width), "y": pixel(theme.SMALL)}
        credit = mark("text", [{}], place, text=theme.CREDIT, limit=self.width, **look)
        return panel([credit], width, theme.SMALL)


def heading(text: str, pixels: float, **style: Any) -> Part:
    """The name of a panel, above it and no wider than `pixels`."""
    name = letters.fitted(text, pixels, theme.LABEL, bold=True)
    return {"text": name, "fontSize": theme.LABEL, "frame": "group", "offset": 16, **style}


def whole(metrics: pd.DataFrame, recording: str, metric: str) -> float:
    """A figure of METRICS over the whole session; NaN where the table does not have it."""
    own = metrics.loc[
        (metrics["recording"] == recording)
        & (metrics["alignment"] == Clocks.SETTLED)
        & (metrics["scope"] == Scope.WHOLE)
        & (metrics["metric"] == metric),
        "value",
    ]
    return float(own.iloc[0]) if len(own) else math.nan


def length(aligned: pd.DataFrame) -> str:
    """How long the table is: '45 minutes', '12 hours'."""
    minutes = round((aligned["time"].max() - aligned["time"].min()).total_seconds() / 60)
    if minutes >= HOURS_FROM:
        return counted(round(minutes / 60), "hour")
    return counted(minutes, "minute")


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round values from low to high, at most about `most`."""
    step = ticks_apart(high - low, most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number(place * step) or 0 for place in range(first, last + 1)]


def ticks_apart(length: float, most: int) -> float:
    """The smallest round step that makes at most `most` of a length."""
    power = 10.0 ** math.floor(math.log10(max(length, 1) / most))
    return next(power * s for s in (1, 2, 5, 10) if length <= most * power * s * (1 + 1e-9))


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places near the wanted ones, at least `gap` apart, and within low to high if they fit."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    places = [min(max(wanted[index], low), high) for index in order]
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + gap)
    ceiling = high
    for index in reversed(range(len(places))):
        places[index] = min(places[index], ceiling)
        ceiling = places[index] - gap
    return [place for _, place in sorted(zip(order, places, strict=True))]
