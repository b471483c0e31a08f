"""The panels of one session: its heart rates, and a strip of differences for each device."""

from collections.abc import Sequence
from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from strapline.charts import seconds, sheet, theme
from strapline.charts.lanes import HEIGHT, lane
from strapline.charts.text import lines, plain
from strapline.session.intake import SessionIntake
from strapline.settings import Presentation
from strapline.signal.reference_check import Span

BETWEEN = 62
_HEIGHTS = 742
_LEADER = 46
_LETTERS = 15
# Pixels from stroke to stroke.
_HATCH = 8
_LETTER = 19
_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240)


class Panels:
    """What the panels share: the time axis, the scales, and what is drawn behind."""

    def __init__(
        self,
        table: pd.DataFrame,
        intake: SessionIntake,
        names: Sequence[str],
        styles: Sequence[theme.Style],
        look: Presentation,
        doubted: Sequence[Span] = (),
        episodes: Sequence[pd.DataFrame] = (),
    ) -> None:
        self.table, self.names, self.styles, self.look = table, names, styles, look
        self.reference = intake.reference.label if intake.reference else "Reference"
        self.exclude, self.doubted, self.episodes = intake.exclude, doubted, episodes
        self.labels = [lines(name, _LETTERS) for name in (self.reference, *names)]
        longest = max(len(line) for label in self.labels for line in label)
        self.width = sheet.LEGIBLE_TITLE - sheet.AXIS - _LEADER - 12 - _LETTER * longest
        self.data = alt.NamedData("seconds")
        self.end = max(len(table) - 1, 1)
        # Devices that differ alike must look alike: one scale for all strips.
        self.reach = seconds.tens(table.drop(columns=["reference", *self._rates()]))
        heights = _HEIGHTS - BETWEEN * len(names)
        self.strip_height = min(220, max(80, round(0.48 * heights / len(names))))
        self.rates_height = max(240, heights - len(names) * self.strip_height)

    def rows(self) -> list[dict[str, Any]]:
        """What the panels draw, under the name `seconds`."""
        return seconds.records(seconds.thinned(self.table, self.width))

    def rates(self) -> Any:
        """The reference, heavy and solid, and each device on top of it."""
        scale = seconds.tens(self.table[["reference", *self._rates()]])
        drawn = [*self._left_out(), self._line("reference", scale, **self._heavy())]
        for rate, style in zip(self._rates(), self.styles, strict=True):
            # A pale edge keeps a device visible where it runs along the reference.
            edge: dict[str, Any] = {
                "stroke": self.look.paper,
                "strokeWidth": theme.DEVICE_WIDTH + 1.5,
            }
            drawn.append(self._line(rate, scale, **edge))
            drawn.append(self._line(rate, scale, **_dashed(style)))
        drawn += self._line_ends(scale)
        return self._panel(drawn, "Heart rate, bpm", self.rates_height)

    def strip(self, index: int) -> Any:
        """The device minus the reference, against zero and the tolerance."""
        field, colour = f"difference_{index}", self.styles[index].colour
        last = index == len(self.names) - 1
        base = alt.Chart(self.data).encode(x=self._x(last))
        # Room for the lane of episodes, in every strip alike.
        top = HEIGHT if any(len(found) for found in self.episodes) else 0
        y = self._y(field, self.reach, top)
        zero = alt.Chart(sheet.rows([{"zero": 0}])).encode(y=self._y("zero", self.reach, top))
        drawn = [
            base.mark_area(color=self.look.band).encode(
                y=self._y("above", self.reach, top), y2="below:Q"
            ),
            *self._left_out(),
            base.mark_area(color=colour, opacity=0.4).encode(y=y, y2=alt.datum(0)),
            zero.mark_rule(color=self.look.reference, strokeWidth=2.5),
            self._line(field, self.reach, top=top, stroke=colour, strokeWidth=2.5),
            *self._lane(index),
        ]
        heading = f"{plain(self.names[index])} minus {plain(self.reference)}, bpm"
        return self._panel(drawn, heading, self.strip_height)

    def _lane(self, index: int) -> list[Any]:
        if not self.episodes:
            return []
        return lane(self.episodes[index], self._x(), self.end, self.width, self.look.ink)

    def _rates(self) -> list[str]:
        return [f"rate_{index}" for index in range(len(self.names))]

    def _heavy(self) -> dict[str, Any]:
        return {"stroke": self.look.reference, "strokeWidth": theme.REFERENCE_WIDTH}

    def _panel(self, drawn: Sequence[Any], heading: str, height: int) -> Any:
        title = alt.TitleParams(
            heading, fontSize=theme.LABEL, frame="group", offset=16, limit=self.width
        )
        return alt.layer(*drawn, title=title, width=self.width, height=height)

    def _line(self, field: str, scale: tuple[int, int], *, top: int = 0, **mark: Any) -> Any:
        chart = alt.Chart(self.data).mark_line(strokeCap="round", strokeJoin="round", **mark)
        return chart.encode(x=self._x(), y=self._y(field, scale, top))

    def _x(self, labelled: bool = False) -> alt.X:
        minutes = next((m for m in _MINUTES if self.end <= 600 * m), self.end // 600 + 1)
        axis = alt.Axis(
            values=list(range(0, self.end + 1, 60 * minutes)),
            grid=False,
            labels=labelled,
            labelExpr="datum.value / 3600 + ' h'" if minutes >= 60 else "datum.value / 60 + ' min'",
            title=None,
        )
        return alt.X("s:Q", scale=alt.Scale(domain=[0, self.end], nice=False), axis=axis)

    def _y(self, field: str, scale: tuple[int, int], top: int = 0) -> alt.Y:
        """`top`: pixels of the panel, from above, that are kept for something else."""
        low, high = scale
        step = next((s for s in (10, 20, 50) if high - low <= 6 * s), 100)
        axis = alt.Axis(values=list(range(-(-low // step) * step, high + 1, step)), title=None)
        drawn = alt.Undefined if not top else [self.strip_height, top]
        return alt.Y(
            f"{field}:Q", scale=alt.Scale(domain=[low, high], nice=False, range=drawn), axis=axis
        )

    def _left_out(self) -> list[alt.Chart]:
        return [*self._excluded(), *self._hatched()]

    def _hatched(self) -> list[alt.Chart]:
        """Thin upright strokes over the seconds in which the reference is not believed."""
        step = self.end / self.width * _HATCH
        strokes = [
            {"s": round(float(second), 1)}
            for span in self.doubted
            for second in np.arange(span.start, span.end, step)
        ]
        if not strokes:
            return []
        chart = alt.Chart(sheet.rows(strokes))
        return [chart.mark_rule(color=self.look.ink, opacity=0.35).encode(x=self._x())]

    def _excluded(self) -> list[alt.Chart]:
        spans = [
            {"s": span.start, "end": min(span.end, self.end)}
            for span in self.exclude
            if span.start < self.end
        ]
        if not spans:
            return []
        base = alt.Chart(sheet.rows(spans)).encode(x=self._x())
        return [base.mark_rect(color=self.look.ink, opacity=0.13).encode(x2="end:Q")]

    def _line_ends(self, scale: tuple[int, int]) -> list[alt.Chart]:
        """Each line led on to its name, in its own colour and dash."""
        fields = ["reference", *self._rates()]
        marks = [self._heavy(), *map(_dashed, self.styles)]
        texts = self.labels
        last = [self.table[field].last_valid_index() for field in fields]
        shown = [index for index, second in enumerate(last) if second is not None]
        levels = [float(self.table[fields[index]].loc[last[index]]) for index in shown]
        line = (scale[1] - scale[0]) * theme.LABEL * 1.15 / self.rates_height
        gap = line * max(len(text) for text in texts)
        places = sheet.spread(levels, gap, scale[0] + line / 2, scale[1] - line / 2)
        drawn = []
        for index, level, place in zip(shown, levels, places, strict=True):
            end = {"s": last[index], "level": round(level, 1), "place": round(place, 1)}
            base = alt.Chart(sheet.rows([end]))
            leader = base.mark_rule(**marks[index]).encode(
                x=self._x(),
                x2=alt.value(self.width + _LEADER),
                y=self._y("level", scale),
                y2="place:Q",
            )
            name = base.mark_text(
                text=texts[index],
                align="left",
                baseline="middle",
                fontWeight=600,
                dx=12,
                dy=-theme.LABEL * 0.575 * (len(texts[index]) - 1),
                color=marks[index]["stroke"],
            ).encode(x=alt.value(self.width + _LEADER), y=self._y("place", scale))
            drawn += [leader, name]
        return drawn


def _dashed(style: theme.Style) -> dict[str, Any]:
    return {
        "stroke": style.colour,
        "strokeWidth": theme.DEVICE_WIDTH,
        "strokeDash": list(style.dash),
    }
