"""Does a finding hang on the clocks? The error of each device at every offset of its clock."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import altair as vega
import pandas as pd

from strapline.charts import sheet, theme
from strapline.charts.render import Chart
from strapline.charts.text import lines, listed, plain, signed
from strapline.session.alignment import SessionAlignment
from strapline.session.intake import SessionIntake
from strapline.settings import Presentation

NOTHING = "No device of this session could be compared at any offset of its clock."
_HEIGHT = 640
_SIDE = 330
_LETTERS = 15
_WIDTH = sheet.LEGIBLE_TITLE - sheet.AXIS - _SIDE


@dataclass(frozen=True)
class Curve:
    """One device's errors (offset_s, mae), the offset in use, and how it looks."""

    label: str
    errors: pd.DataFrame
    used_s: float
    style: theme.Style

    @property
    def used(self) -> tuple[float, float]:
        """Offset in use and the error there, at the nearest whole offset."""
        nearest = (self.errors["offset_s"] - self.used_s).abs().argmin()
        return self.used_s, float(self.errors["mae"].iloc[nearest])

    @property
    def least(self) -> tuple[float, float]:
        """Offset and error where the error is least."""
        best = self.errors["mae"].argmin()
        return float(self.errors["offset_s"].iloc[best]), float(self.errors["mae"].iloc[best])


def error_by_offset(
    offsets: pd.DataFrame,
    alignment: SessionAlignment,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
) -> Chart:
    """A line a device: its mean absolute error (OFFSETS) against the offset of its clock.

    A dot marks the offset of the aligned view; the upright line is the clocks as recorded.
    """
    title = sheet.headed(intake.activity, "Does the error depend on the clocks?")
    shown = curves(offsets, alignment, intake, presentation, bench)
    if not shown:
        return sheet.missing(presentation, title, NOTHING)
    highest = max(float(curve.errors["mae"].max()) for curve in shown)
    zero = vega.Chart(sheet.rows([{"offset_s": 0}])).mark_rule(
        color=presentation.ink, strokeWidth=2.5
    )
    drawn: list[Any] = [zero.encode(x=_x())]
    for index, curve in enumerate(shown):
        drawn += _drawn(curve, f"curve_{index}", highest, presentation)
    heading = vega.TitleParams(
        "Mean absolute error, bpm", fontSize=theme.LABEL, frame="group", offset=16
    )
    return sheet.finished(
        [vega.layer(*drawn, *_names(shown, highest), width=_WIDTH, height=_HEIGHT, title=heading)],
        presentation,
        title,
        "The session with each device’s clock shifted. Dot: the shift in use.",
        alt(shown),
        between=30,
        bounds="full",
        datasets={
            f"curve_{index}": curve.errors.round(2).to_dict("records")
            for index, curve in enumerate(shown)
        },
    )


def curves(
    offsets: pd.DataFrame,
    alignment: SessionAlignment,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
) -> list[Curve]:
    """The devices that could be compared at some offset, in the order of the card."""
    used = {c.recording: c.offset_s - c.gross_shift_s for c in alignment.clocks}
    found = set(offsets["recording"].astype(str))
    shown = [recording for recording in intake.tested if recording.recording in found]
    styles = theme.styles([recording.device for recording in shown], presentation, bench)
    return [
        Curve(
            plain(recording.label),
            offsets.loc[offsets["recording"] == recording.recording, ["offset_s", "mae"]],
            used.get(recording.recording, 0.0),
            styles[recording.device],
        )
        for recording in shown
    ]


def alt(shown: Sequence[Curve]) -> str:
    """One sentence with each device's least error, and where it lies."""
    parts = [
        f"{curve.label} was off by at least {curve.least[1]:.1f} bpm (shifted by "
        f"{signed(curve.least[0])} s)"
        for curve in shown
    ]
    return f"At any shift of up to 60 s, {listed(parts)}." if parts else NOTHING


def _x() -> vega.X:
    axis = vega.Axis(
        title="Seconds added to the device’s clock", values=list(range(-60, 61, 15)), grid=False
    )
    return vega.X("offset_s:Q", scale=vega.Scale(domain=[-60, 60]), axis=axis)


def _y(highest: float) -> vega.Y:
    scale = vega.Scale(domain=[0, highest], nice=True)
    return vega.Y("mae:Q", scale=scale, axis=vega.Axis(title=None, tickCount=6))


def _drawn(curve: Curve, data: str, highest: float, look: Presentation) -> list[Any]:
    offset, error = curve.used
    line = vega.Chart(vega.NamedData(data)).mark_line(
        stroke=curve.style.colour,
        strokeWidth=theme.DEVICE_WIDTH + 1,
        strokeDash=list(curve.style.dash),
    )
    dot = vega.Chart(sheet.rows([{"offset_s": offset, "mae": round(error, 2)}])).mark_circle(
        size=500, color=curve.style.colour, stroke=look.paper, strokeWidth=3, opacity=1
    )
    return [chart.encode(x=_x(), y=_y(highest)) for chart in (line, dot)]


def _names(shown: Sequence[Curve], highest: float) -> list[Any]:
    """Each device's name at the right end of its line."""
    ends = [float(curve.errors["mae"].iloc[-1]) for curve in shown]
    places = sheet.spread(ends, highest * theme.LABEL * 1.2 / _HEIGHT, 0, highest)
    return [
        vega.Chart(sheet.rows([{"mae": round(place, 2)}]))
        .mark_text(
            text=lines(curve.label, _LETTERS),
            align="left",
            baseline="middle",
            fontSize=theme.LABEL,
            fontWeight=600,
            color=curve.style.colour,
        )
        .encode(x=vega.value(_WIDTH + 16), y=_y(highest))
        for curve, place in zip(shown, places, strict=True)
    ]
