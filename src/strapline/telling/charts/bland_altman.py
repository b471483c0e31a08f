"""Difference against mean, a panel a device, with bias and limits of agreement and their intervals.

Bland JM, Altman DG. Statistical methods for assessing agreement between two methods of clinical
measurement. Lancet 1986;327:307-310.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.vocabulary import Clocks, Scope
from strapline.ground.words import listed, number, plain
from strapline.telling.charts import cells, theme
from strapline.telling.charts.chart import OF_EACH_DEVICE, Chart
from strapline.telling.charts.marks import Part, mark, pixel
from strapline.telling.charts.sheet import CLOCKS, Sheet, spread
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

LINES = {"limit_upper": "upper limit", "bias": "bias", "limit_lower": "lower limit"}

_SIDE = 250
_LABEL = 2.2 * theme.SMALL


@dataclass(frozen=True)
class Line:
    """A figure and its 95 % interval; the interval is NaN where there is none."""

    value: float
    low: float
    high: float

    @property
    def known(self) -> bool:
        return pd.notna(self.low) and pd.notna(self.high)


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """Each device's difference from the reference against the mean of the two.

    The lines and the bands around them, which are their 95 % intervals, are METRICS over the whole
    session. A dot stands for all seconds that fall within a cell, 2 bpm by 2 bpm or, where those
    are many, larger.
    """
    shown = tables.compared
    if not shown:
        return sheet.saying()
    lines = {r.recording: agreement(tables.metrics, r.recording) for r in shown}
    on = sheet.explained(_subtitle(tables.intake, lines.values()))
    counted = {r.recording: dots(tables.seconds, r.recording) for r in shown}
    every = pd.concat([table for table, _ in counted.values()])
    heights = [*every["difference"], *_ends(lines.values())]
    panels = cells.frame(on, len(shown), _SIDE, every[["mean"]], pd.DataFrame({"up": heights}))
    styles = on.styles(r.device for r in shown)
    most = int(every["seconds"].max())
    drawn = []
    for r in shown:
        channels = {"x": panels.x("mean", "Mean of the two, bpm"), "y": panels.y("difference")}
        look = (channels, panels, styles[r.device].colour)
        zero = mark(
            "rule",
            [{"difference": 0}],
            {"y": panels.y("difference")},
            color=theme.REFERENCE,
            strokeWidth=2.5,
        )
        seconds = cells.dots(r.recording, counted[r.recording][1], most, *look)
        layers = [zero, seconds, *_lines(lines[r.recording], panels)]
        drawn.append(cells.headed(layers, r.label, panels, _SIDE))
    return on.finished(
        cells.arranged(on, drawn, _SIDE),
        between=30,
        bounds="full",
        datasets={name: table.to_dict("records") for name, (table, _) in counted.items()},
    )


def alt(tables: SessionTables) -> str:
    """One sentence with each device's bias and limits of agreement."""
    if not tables.compared:
        return NOTHING
    parts = [_spoken(r, agreement(tables.metrics, r.recording)) for r in tables.compared]
    return f"Difference from the reference: {listed(parts)}."


def agreement(metrics: pd.DataFrame, recording: str) -> dict[str, Line]:
    """Bias and limits of the whole session, those that are defined."""
    rows = metrics.loc[
        (metrics["recording"] == recording)
        & (metrics["alignment"] == Clocks.SETTLED)
        & (metrics["scope"] == Scope.WHOLE)
        & metrics["value"].notna(),
        ["metric", "value", "ci_low", "ci_high"],
    ]
    found = {metric: Line(*ends) for metric, *ends in rows.itertuples(index=False)}
    return {name: found[name] for name in LINES if name in found}


def dots(aligned: pd.DataFrame, recording: str) -> tuple[pd.DataFrame, int]:
    """Compared seconds counted in cells: mean, difference, seconds; and a cell's width in bpm."""
    points = cells.compared_points(
        aligned, recording, lambda d, r: {"mean": (d + r) / 2, "difference": d - r}
    )
    return cells.cells(points)


def _ends(lines: Iterable[Mapping[str, Line]]) -> list[float]:
    """The lines and the ends of their intervals, as far as these leave the dots their room."""
    every = [line for own in lines for line in own.values()]
    furthest = 1.4 * max((abs(line.value) for line in every), default=0)
    ends = [end for line in every if line.known for end in (line.low, line.high)]
    return [
        *(line.value for line in every),
        *(min(max(end, -furthest), furthest) for end in ends),
    ]


def _subtitle(intake: SessionIntake, lines: Iterable[Mapping[str, Line]]) -> str:
    reference = plain(intake.reference.label) if intake.reference else "reference"
    known = any(line.known for own in lines for line in own.values())
    bands = " Grey: 95 % intervals of the lines." if known else ""
    return f"Device minus {reference}, bpm; {CLOCKS}. Larger dot: more seconds.{bands}"


def _spoken(recording: RecordingIntake, lines: Mapping[str, Line]) -> str:
    name = plain(recording.label)
    if len(lines) < len(LINES):
        return f"{name} too little data for limits of agreement"
    bias, low, high = (
        number(lines[m].value, plus=True) for m in ("bias", "limit_lower", "limit_upper")
    )
    return f"{name} {bias} bpm on average, 95 % of seconds about {low} to {high} bpm"


def _lines(lines: Mapping[str, Line], panel: cells.Frame) -> list[Part]:
    wanted = [panel.down(line.value) for line in lines.values()]
    places = spread(wanted, _LABEL, _LABEL / 2, panel.height - _LABEL / 2)
    drawn: list[Part] = []
    for (name, line), place in zip(lines.items(), places, strict=True):
        heavy = name == "bias"
        row = [{"difference": round(line.value, 2)}]
        width, dash = (4, [1, 0]) if heavy else (3, [10, 7])
        drawn += [
            *_band(line, panel),
            mark(
                "rule",
                row,
                {"y": panel.y("difference")},
                color=theme.INK,
                strokeWidth=width,
                strokeDash=dash,
            ),
            *_words(name, line, place, panel),
        ]
    return drawn


def _band(line: Line, panel: cells.Frame) -> list[Part]:
    """The interval across the panel, as far as the panel reaches."""
    if not line.known:
        return []
    low, high = panel.up
    ends = {"low": max(round(line.low, 2), low), "high": min(round(line.high, 2), high)}
    place = {"y": panel.y("low"), "y2": {"field": "high"}}
    return [mark("rect", [ends], place, color=theme.INK, opacity=0.16)]


def _words(name: str, line: Line, place: float, panel: cells.Frame) -> list[Part]:
    x = pixel(panel.width + 12)
    rows = [(f"{number(line.value, plus=True)} {LINES[name]}", 600, theme.SMALL, 0.0)]
    if line.known:
        rows.append((f"{_end(line.low)} to {_end(line.high)}", 400, theme.SMALL - 4, theme.SMALL))
    up = theme.SMALL / 2 if line.known else 0
    return [
        mark(
            "text",
            [{}],
            {"x": x, "y": pixel(place - up + below)},
            text=text,
            align="left",
            baseline="middle",
            fontSize=size,
            fontWeight=weight,
        )
        for text, weight, size, below in rows
    ]


def _end(value: float) -> str:
    return number(value, plus=True) if math.isfinite(value) else "no bound"


BLAND_ALTMAN = Chart(
    name="bland-altman",
    about="session",
    section="more",
    needs=("aligned", "metrics"),
    question="Does the error depend on the heart rate?",
    finding=OF_EACH_DEVICE,
    alt=alt,
    draw=draw,
)
