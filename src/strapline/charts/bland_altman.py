"""Difference against mean, a panel a device, with bias and limits of agreement.

Bland JM, Altman DG. Statistical methods for assessing agreement between two methods of clinical
measurement. Lancet 1986;327:307-310.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import altair as vega
import pandas as pd

from strapline.charts import sheet, theme
from strapline.charts.render import Chart
from strapline.charts.seconds import tens
from strapline.charts.text import listed, plain, signed
from strapline.charts.traces import NOTHING, compared
from strapline.session.intake import RecordingIntake, SessionIntake
from strapline.settings import Presentation

LINES = {"limit_upper": "upper limit", "bias": "bias", "limit_lower": "lower limit"}

_CELL = 2
_HEIGHT = 670
_SIDE = 250
_COLUMNS = 3
_LARGEST = 28
_SMALLEST = 5


def bland_altman(
    aligned: pd.DataFrame,
    metrics: pd.DataFrame,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
) -> Chart:
    """Each device's difference from the reference against the mean of the two.

    `aligned` holds one view of the clocks; the lines are `metrics` of that view over the whole
    session. A dot stands for all seconds that fall within 2 bpm by 2 bpm, the larger the more.
    """
    shown = compared(aligned, intake)
    title = sheet.headed(intake.activity, "Does the error depend on the heart rate?")
    if not shown:
        return sheet.missing(presentation, title, NOTHING)
    view = str(aligned["alignment"].iloc[0])
    lines = {r.recording: agreement(metrics, r.recording, view) for r in shown}
    cells = {r.recording: dots(aligned, r.recording) for r in shown}
    scales = _scales(pd.concat(cells.values()), lines.values())
    styles = theme.styles([r.device for r in shown], presentation, bench)
    reference = plain(intake.reference.label) if intake.reference else "reference"
    columns = min(len(shown), _COLUMNS)
    panels = [
        _panel(
            plain(recording.label),
            recording.recording,
            lines[recording.recording],
            _Frame(scales, styles[recording.device].colour, presentation, columns),
        )
        for recording in shown
    ]
    strips = [panels[start : start + columns] for start in range(0, len(panels), columns)]
    return sheet.finished(
        [vega.hconcat(*strip, spacing=sheet.AXIS + _SIDE, bounds="flush") for strip in strips],
        presentation,
        title,
        f"Device minus {reference}, bpm; {sheet.CLOCKS[view]}. Larger dot: more seconds.",
        alt(aligned, metrics, intake),
        between=30,
        bounds="full",
        datasets={name: table.to_dict("records") for name, table in cells.items()},
    )


def alt(aligned: pd.DataFrame, metrics: pd.DataFrame, intake: SessionIntake) -> str:
    """One sentence with each device's bias and limits of agreement."""
    shown = compared(aligned, intake)
    if not shown:
        return NOTHING
    view = str(aligned["alignment"].iloc[0])
    parts = [_spoken(r, agreement(metrics, r.recording, view)) for r in shown]
    return f"Difference from the reference: {listed(parts)}."


def agreement(metrics: pd.DataFrame, recording: str, alignment: str) -> dict[str, float]:
    """Bias and limits of the whole session, those that are defined."""
    rows = metrics[
        (metrics["recording"] == recording)
        & (metrics["alignment"] == alignment)
        & (metrics["scope"] == "whole")
    ]
    values = dict(zip(rows["metric"].astype(str), rows["value"], strict=True))
    return {name: float(values[name]) for name in LINES if pd.notna(values.get(name))}


def dots(aligned: pd.DataFrame, recording: str) -> pd.DataFrame:
    """Compared seconds counted in cells of 2 bpm by 2 bpm: mean, difference, seconds."""
    own = aligned[(aligned["recording"] == recording) & (aligned["status"] == "compared")]
    points = pd.DataFrame(
        {
            "mean": (own["device_bpm"] + own["reference_bpm"]) / 2,
            "difference": own["device_bpm"] - own["reference_bpm"],
        }
    )
    cells = (points / _CELL).round() * _CELL
    return cells.value_counts(sort=False).rename("seconds").reset_index()


def _spoken(recording: RecordingIntake, lines: dict[str, float]) -> str:
    name = plain(recording.label)
    if len(lines) < len(LINES):
        return f"{name} too little data for limits of agreement"
    bias, low, high = (signed(lines[m]) for m in ("bias", "limit_lower", "limit_upper"))
    return f"{name} {bias} bpm on average, 95 % of seconds about {low} to {high} bpm"


@dataclass(frozen=True)
class _Scales:
    """What panels side by side have in common."""

    across: tuple[int, int]
    up: tuple[int, int]
    most: int


@dataclass(frozen=True)
class _Frame:
    scales: _Scales
    colour: str
    look: Presentation
    columns: int

    @property
    def width(self) -> int:
        return sheet.LEGIBLE_TITLE // self.columns - sheet.AXIS - _SIDE

    @property
    def largest(self) -> float:
        """Area of a dot that fills its cell."""
        low, high = self.scales.across
        return min(_LARGEST, 1.1 * self.width * _CELL / (high - low)) ** 2

    @property
    def x(self) -> vega.X:
        across = self.scales.across
        axis = vega.Axis(title="Mean of the two, bpm", grid=False, values=_ticks(across, 4))
        scale = vega.Scale(domain=across, nice=False, padding=12)
        return vega.X("mean:Q", scale=scale, axis=axis)

    @property
    def y(self) -> vega.Y:
        axis = vega.Axis(title=None, values=_ticks(self.scales.up, 8))
        scale = vega.Scale(domain=self.scales.up, nice=False, padding=12)
        return vega.Y("difference:Q", scale=scale, axis=axis)


def _scales(cells: pd.DataFrame, lines: Iterable[Mapping[str, float]]) -> _Scales:
    heights = [*cells["difference"], *(value for line in lines for value in line.values())]
    up = tens(pd.DataFrame({"difference": heights}))
    return _Scales(tens(cells[["mean"]]), up, int(cells["seconds"].max()))


def _panel(heading: str, cells: str, lines: dict[str, float], frame: _Frame) -> Any:
    look, y = frame.look, frame.y
    zero = vega.Chart(sheet.rows([{"difference": 0}])).mark_rule(
        color=look.reference, strokeWidth=2.5
    )
    scale = vega.Scale(domain=[0, frame.scales.most], range=[_SMALLEST**2, frame.largest])
    seconds = vega.Chart(vega.NamedData(cells)).mark_circle(color=frame.colour, opacity=0.75)
    size = vega.Size("seconds:Q", scale=scale, legend=None)
    drawn = [zero.encode(y=y), seconds.encode(x=frame.x, y=y, size=size), *_lines(lines, frame)]
    title = vega.TitleParams(
        heading, fontSize=theme.LABEL, frame="group", offset=16, limit=frame.width + _SIDE
    )
    return vega.layer(*drawn, title=title, width=frame.width, height=_HEIGHT)


def _lines(lines: Mapping[str, float], frame: _Frame) -> list[Any]:
    low, high = frame.scales.up
    gap = (high - low) * theme.LABEL * 1.15 / _HEIGHT
    places = sheet.spread(list(lines.values()), gap, low, high)
    ink = frame.look.ink
    drawn: list[Any] = []
    for (name, value), place in zip(lines.items(), places, strict=True):
        heavy = name == "bias"
        rule = vega.Chart(sheet.rows([{"difference": round(value, 2)}])).mark_rule(
            color=ink, strokeWidth=4 if heavy else 3, strokeDash=[1, 0] if heavy else [10, 7]
        )
        text = vega.Chart(sheet.rows([{"difference": round(place, 2)}])).mark_text(
            text=f"{signed(value)} {LINES[name]}",
            align="left",
            fontSize=theme.SMALL,
            fontWeight=600,
            color=ink,
        )
        drawn += [rule.encode(y=frame.y), text.encode(y=frame.y, x=vega.value(frame.width + 12))]
    return drawn


def _ticks(scale: tuple[int, int], most: int) -> list[int]:
    low, high = scale
    step = next((s for s in (10, 20, 50) if high - low <= most * s), 100)
    return list(range(-(-low // step) * step, high + 1, step))
