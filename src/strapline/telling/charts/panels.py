"""The panels of one session: its heart rates, and a strip of differences for each device."""

from collections.abc import Sequence
from typing import Any

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.words import plain
from strapline.method.signal.reference_check import Span
from strapline.telling.charts import letters, line_ends, seconds, sheet, theme
from strapline.telling.charts.lanes import HEIGHT, lane
from strapline.telling.charts.left_out import doubted_layers, excluded_layers
from strapline.telling.charts.marks import Part, mark, panel, pixel, quantity, up_to

BETWEEN = 62
_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240)
_SIDE = {False: 285, True: 220}
# Pixels between the marks that tell a device's line.
_MARKS = 130


class Panels:
    """What the panels share: the time axis, the scales, and what is drawn behind."""

    def __init__(
        self,
        table: pd.DataFrame,
        intake: SessionIntake,
        names: Sequence[str],
        styles: Sequence[theme.Style],
        on: sheet.Sheet,
        doubted: Sequence[Span] = (),
        episodes: Sequence[pd.DataFrame] = (),
    ) -> None:
        self.table, self.names, self.styles = table, names, styles
        self.strap = intake.reference.label if intake.reference else "Reference"
        self.doubted, self.episodes, self.exclude = doubted, episodes, intake.exclude
        side = _SIDE[on.frame.upright]
        self.labels = [
            letters.broken(name, side, theme.LABEL, bold=True, most=3)
            for name in (self.strap, *names)
        ]
        widest = max(
            letters.width(line, theme.LABEL, bold=True) for label in self.labels for line in label
        )
        self.width = int(on.width - sheet.AXIS - line_ends.ROOM - widest)
        self.end = max(len(table) - 1, 1)
        # Devices that differ alike must look alike: one scale for all strips.
        self.reach = seconds.tens(table.drop(columns=["reference", *self._rates()]))
        self.level = seconds.tens(table[["reference", *self._rates()]])
        # Room for the lane of episodes, in every strip alike.
        self.top = HEIGHT if any(len(found) for found in episodes) else 0
        heights = on.height - BETWEEN * (len(names) + 1)
        share = 0.55 if on.frame.upright else 0.48
        strip = share * heights / len(names)
        self.strip_height = min(300, max(80, round(strip)))
        self.rates_height = max(240, round(heights - len(names) * self.strip_height))

    def rows(self) -> list[dict[str, Any]]:
        """What the panels draw, under the name `seconds`."""
        return seconds.records(seconds.thinned(seconds.apart(self.table, self.doubted), self.width))

    def rates(self) -> Part:
        """The reference, heavy and solid where it is believed, and each device on top of it."""
        drawn = self._left_out(0, self.rates_height)
        if self.doubted:
            drawn.append(self._line("doubted", self.level, **self._doubtful()))
        drawn.append(self._line("reference", self.level, **self._heavy()))
        for rate, style in zip(self._rates(), self.styles, strict=True):
            # A pale edge keeps a device visible where it runs along the reference.
            width = theme.DEVICE_WIDTH
            drawn.append(self._line(rate, self.level, stroke=theme.PAPER, strokeWidth=width + 1.5))
            drawn.append(self._line(rate, self.level, **_dashed(style)))
        drawn += [self._marks(), *self._line_ends()]
        return self._panel(drawn, "Heart rate, bpm", self.rates_height)

    def strip(self, index: int) -> Part:
        """The device minus the reference, against zero and the tolerance."""
        field, colour = f"difference_{index}", self.styles[index].colour
        x = self._x(self._minutes() if index == len(self.names) - 1 else None)
        zero = {"y": self._y("zero", self.reach, self.top)}
        band = {"y": self._y("above", self.reach, self.top), "y2": up_to("below")}
        area = {"y": self._y(field, self.reach, self.top), "y2": {"datum": 0}}
        drawn = [
            mark("area", "seconds", {"x": x, **band}, color=theme.BAND),
            *self._left_out(self.top, self.strip_height),
            mark("area", "seconds", {"x": self._x(), **area}, color=colour, opacity=0.4),
            mark("rule", [{"zero": 0}], zero, color=theme.REFERENCE, strokeWidth=2.5),
            self._line(field, self.reach, top=self.top, stroke=colour, strokeWidth=2.5),
            *self._lane(index),
        ]
        heading = f"{plain(self.names[index])} minus {plain(self.strap)}, bpm"
        return self._panel(drawn, heading, self.strip_height)

    def _lane(self, index: int) -> list[Part]:
        if not self.episodes:
            return []
        return lane(self.episodes[index], self._x(), self.end, self.width)

    def _rates(self) -> list[str]:
        return [f"rate_{index}" for index in range(len(self.names))]

    def _across(self, second: float) -> float:
        return second / self.end * self.width

    def _heavy(self) -> Part:
        return {"stroke": theme.REFERENCE, "strokeWidth": theme.REFERENCE_WIDTH}

    def _doubtful(self) -> Part:
        return {"stroke": theme.REFERENCE, "strokeWidth": 3, "strokeDash": [3, 7]}

    def _panel(self, drawn: Sequence[Part], heading: str, height: int) -> Part:
        return panel(drawn, self.width, height, sheet.heading(heading, self.width))

    def _line(self, field: str, scale: tuple[int, int], *, top: int = 0, **look: Any) -> Part:
        place = {"x": self._x(), "y": self._y(field, scale, top)}
        return mark("line", "seconds", place, strokeCap="round", strokeJoin="round", **look)

    def _marks(self) -> Part:
        """A device's shape every so often on its line, no two devices' at one second."""
        rows = []
        step = self.end / max(1, self.width // _MARKS)
        for index, (rate, style) in enumerate(zip(self._rates(), self.styles, strict=True)):
            values = self.table[rate].dropna()
            start = step * (index + 0.5) / len(self.names)
            for count in range(round(self.end / step)):
                second = int(start + count * step)
                if second in values.index:
                    rows.append({"s": second, "bpm": round(values[second], 1), **style.of_row})
        place = {"x": self._x(), "y": self._y("bpm", self.level)}
        return line_ends.shapes(rows, place)

    def _x(self, axis: Part | None = None) -> Part:
        return quantity("s", (0, self.end), axis)

    def _minutes(self) -> Part:
        """The axis under all panels."""
        most = self.width // 190
        minutes = next((m for m in _MINUTES if self.end <= 60 * most * m), self.end // 600 + 1)
        return {
            "values": list(range(0, self.end + 1, 60 * minutes)),
            "grid": False,
            "labelExpr": "datum.value / 3600 + ' h'"
            if minutes >= 60
            else "datum.value / 60 + ' min'",
            "title": None,
        }

    def _y(self, field: str, scale: tuple[int, int], top: int = 0) -> Part:
        """`top`: pixels of the panel, from above, that are kept for something else."""
        low, high = scale
        step = next((s for s in (10, 20, 50) if high - low <= 6 * s), 100)
        axis = {"values": list(range(-(-low // step) * step, high + 1, step)), "title": None}
        kept: dict[str, Any] = {"range": [self.strip_height, top]} if top else {}
        return quantity(field, scale, axis, **kept)

    def _left_out(self, top: float, bottom: float) -> list[Part]:
        over = {"x": self._x(), "y": pixel(top), "y2": pixel(bottom)}
        spans = [span for span in self.exclude if span.start < self.end]
        return [
            *excluded_layers(spans, over, self.end),
            *doubted_layers(self.doubted, over, self.end / self.width),
        ]

    def _line_ends(self) -> list[Part]:
        """Each line led on to its name, in its own colour and dash."""
        low, high = self.level
        found = []
        looks = [self._heavy(), *map(_dashed, self.styles)]
        fields = ["reference", *self._rates()]
        shapes = [None, *(style.shape for style in self.styles)]
        for field, look, label, shape in zip(fields, looks, self.labels, shapes, strict=True):
            known = self.table[field].dropna()
            if len(known):
                level = (high - float(known.iloc[-1])) / (high - low)
                end = (self._across(int(known.index[-1])), level * self.rates_height)
                found.append(line_ends.Ending(label, look, end, shape))
        return line_ends.named(found, self.width, self.rates_height)


def _dashed(style: theme.Style) -> Part:
    return {
        "stroke": style.colour,
        "strokeWidth": theme.DEVICE_WIDTH,
        "strokeDash": list(style.dash),
    }
