"""Across the archive: how far each device was off, by activity, a mark a session."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import altair as vega
import pandas as pd

from strapline.charts import sheet, theme
from strapline.charts.render import Chart
from strapline.charts.text import counted, listed, plain, words, worn_by
from strapline.settings import Presentation

NOTHING = "No session could be compared with a reference yet."

_ROWS = 770
_NAMES = 400
_MEDIAN = 170
_COUNTS = 420
_WIDTH = sheet.LEGIBLE_TITLE - _NAMES - _MEDIAN - _COUNTS


@dataclass(frozen=True)
class Row:
    """One line of the chart: a heading if it has no device."""

    activity: str
    device: str | None
    label: str
    counts: str = ""
    median: float | None = None


def standings(
    metrics: pd.DataFrame,
    table: pd.DataFrame,
    presentation: Presentation,
    labels: Mapping[str, str],
    alignment: str = "aligned",
    bench: Sequence[str] = (),
) -> Chart:
    """Mean absolute error of every session, with the median that `table` (STANDINGS) states."""
    title = "How far off was each device, by activity?"
    lines = rows(table, labels, alignment)
    if not lines:
        return sheet.missing(presentation, title, NOTHING)
    height = min(70, max(44, _ROWS // len(lines)))
    styles = theme.styles([row.device for row in lines if row.device], presentation, bench)
    chart = vega.layer(
        *_names(lines, height),
        *_marks(lines, sessions(metrics, alignment), styles, presentation, height),
        width=_WIDTH,
        height=height * len(lines),
    )
    return sheet.finished(
        [chart],
        presentation,
        title,
        "Mean absolute error in bpm: a dot is a session, the upright line their median; "
        f"{sheet.CLOCKS[alignment]}.",
        alt(table, labels, alignment),
        between=70,
    )


def alt(table: pd.DataFrame, labels: Mapping[str, str], alignment: str = "aligned") -> str:
    """One sentence with the median error of each device over all activities."""
    parts = [
        f"{row.label} {row.median:.1f} bpm ({row.counts})"
        for row in rows(table, labels, alignment, over_all=True)
        if row.device
    ]
    return f"Median error over all activities: {listed(parts)}." if parts else NOTHING


def rows(
    table: pd.DataFrame, labels: Mapping[str, str], alignment: str, over_all: bool = False
) -> list[Row]:
    """Activities in order of the alphabet, and under each the devices from best to worst."""
    wanted = table[
        (table["metric"] == "mae")
        & (table["alignment"] == alignment)
        & ((table["activity"] == "all") == over_all)
        & table["median"].notna()
    ]
    wanted = wanted.astype({"activity": str, "device": str})
    wanted = wanted.sort_values(["activity", "median", "device"])
    found: list[Row] = []
    for activity, group in wanted.groupby("activity"):
        found.append(Row(str(activity), None, words(str(activity))))
        for _, one in group.iterrows():
            name = plain(labels.get(one["device"], one["device"]))
            counts = f"{counted(one['sessions'], 'session')}, {worn_by(one['wearers'])}"
            found.append(Row(str(activity), one["device"], name, counts, float(one["median"])))
    return found


def sessions(metrics: pd.DataFrame, alignment: str) -> pd.DataFrame:
    """The mean absolute error of every whole session: activity, device, value."""
    wanted = metrics[
        (metrics["metric"] == "mae")
        & (metrics["alignment"] == alignment)
        & (metrics["scope"] == "whole")
        & metrics["value"].notna()
    ]
    return wanted[["activity", "device", "value"]]


def _names(lines: Sequence[Row], height: int) -> list[Any]:
    drawn: list[Any] = []
    for place, row in enumerate(lines):
        y = vega.value(height * (place + 0.5))
        if row.device is None:
            drawn.append(_text(row.label, -_NAMES, _NAMES, fontWeight=600).encode(y=y))
            continue
        drawn += [
            _text(row.label, 28 - _NAMES, _NAMES - 60).encode(y=y),
            _text(f"{row.median:.1f} bpm", _WIDTH + 24, _MEDIAN, fontWeight=600).encode(y=y),
            _text(row.counts, _WIDTH + 24 + _MEDIAN, _COUNTS, fontSize=theme.SMALL).encode(y=y),
        ]
    return drawn


def _text(text: str, x: int, limit: int, **style: Any) -> Any:
    mark = {"align": "left", "baseline": "middle", "limit": limit, "text": text, **style}
    return vega.Chart(sheet.rows([{}])).mark_text(**mark).encode(x=vega.value(x))


def _marks(
    lines: Sequence[Row],
    every: pd.DataFrame,
    styles: Mapping[str, theme.Style],
    look: Presentation,
    height: int,
) -> list[Any]:
    highest = max([*every["value"], *(row.median for row in lines if row.median is not None)])
    axis = vega.Axis(title=None, orient="top", tickCount=8, format="d")
    scale = vega.Scale(domain=[0, highest], nice=True)
    drawn: list[Any] = []
    for place, row in enumerate(lines):
        if row.device is None:
            continue
        own = every[(every["activity"] == row.activity) & (every["device"] == row.device)]
        dots = vega.Chart(sheet.rows({"bpm": round(v, 2)} for v in own["value"]))
        median = vega.Chart(sheet.rows([{"bpm": round(row.median or 0, 2)}]))
        x = vega.X("bpm:Q", scale=scale, axis=axis)
        colour, middle = styles[row.device].colour, height * (place + 0.5)
        drawn += [
            dots.mark_circle(size=420, color=colour, opacity=0.55, stroke=look.paper).encode(
                x=x, y=vega.value(middle)
            ),
            median.mark_rule(color=look.ink, strokeWidth=6).encode(
                x=x, y=vega.value(middle - 20), y2=vega.value(middle + 20)
            ),
        ]
    return drawn
