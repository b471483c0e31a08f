"""Across the archive: how far each device was off, by activity, a mark a session."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks, Scope
from strapline.ground.words import counted, in_words, listed, plain, worn_by
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts import letters, rows_of, theme
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.marks import Part, as_given, mark, panel, quantity, up_to
from strapline.telling.charts.sheet import CLOCKS, Sheet, ticks
from strapline.telling.charts.specification import Specification

NOTHING = "No session could be compared with a reference yet."

_NAMES = {False: 420, True: 330}
_MEAN = 160
_COUNTS = {False: 330, True: 60}
_INDENT = 28
_ABOVE = 90
_SHAPE = 380


@dataclass(frozen=True)
class Row:
    """One line of the chart: a heading if it has no device."""

    activity: str
    device: str | None
    label: str
    sessions: int = 0
    wearers: int = 0
    mean: float | None = None

    @property
    def counts(self) -> str:
        return f"{counted(self.sessions, 'session')}, {worn_by(self.wearers)}"


def draw(tables: ArchiveTables, sheet: Sheet) -> Specification:
    """Mean absolute error of every session, with the mean that STANDINGS states."""
    lines = rows(tables)
    if not lines:
        return sheet.saying()
    upright = sheet.frame.upright
    beside = "number: its sessions" if upright else CLOCKS
    on = sheet.explained(
        f"Mean absolute error in bpm: a mark is a session, the upright line their mean; {beside}."
    )
    names, counts = _NAMES[upright], _COUNTS[upright]
    listed_rows = rows_of.Rows(len(lines), on.height - _ABOVE, most=70, least=42)
    width = on.width - names - _MEAN - counts
    styles = on.styles(row.device for row in lines if row.device)
    every = sessions(tables.whole_sessions)
    drawn = [
        *_names(lines, listed_rows, names, width, upright),
        *_marks(lines, every, styles, listed_rows, width),
    ]
    return on.finished([panel(drawn, width, listed_rows.height)], between=40, left=names + _MEAN)


def alt(tables: ArchiveTables) -> str:
    """One sentence with the mean error of each device over all activities, or else at each."""
    overall = rows(tables, over_all=True)
    parts = [
        f"{row.label} {row.mean:.1f} bpm ({row.counts if overall else in_words(row.activity)})"
        for row in overall or rows(tables)
        if row.device
    ]
    over = " over all activities" if overall else ""
    return f"Mean error{over}: {listed(parts)}." if parts else NOTHING


def rows(tables: ArchiveTables, over_all: bool = False) -> list[Row]:
    """Activities in order of the alphabet, and under each the devices from best to worst."""
    table, labels = tables.standings, tables.labels
    wanted = table[
        (table["metric"] == "mae")
        & (table["alignment"] == Clocks.SETTLED)
        & ((table["activity"] == ALL_ACTIVITIES) == over_all)
        & table["mean"].notna()
    ]
    wanted = wanted.astype({"activity": str, "device": str})
    wanted = wanted.sort_values(["activity", "mean", "device"])
    found: list[Row] = []
    for activity, group in wanted.groupby("activity"):
        found.append(Row(str(activity), None, in_words(str(activity))))
        for _, one in group.iterrows():
            name = plain(labels.get(one["device"], one["device"]))
            counts = int(one["sessions"]), int(one["wearers"])
            found.append(Row(str(activity), one["device"], name, *counts, float(one["mean"])))
    return found


def sessions(metrics: pd.DataFrame) -> pd.DataFrame:
    """The mean absolute error of every whole session: activity, device, value."""
    wanted = metrics[
        (metrics["metric"] == "mae")
        & (metrics["alignment"] == Clocks.SETTLED)
        & (metrics["scope"] == Scope.WHOLE)
        & metrics["value"].notna()
    ]
    return wanted[["activity", "device", "value"]]


def _names(
    lines: Sequence[Row], place: rows_of.Rows, names: int, width: int, short: bool
) -> list[Part]:
    """Device, mean and counts; means stand left of the marks, so that none meets another."""
    devices = [(index, row) for index, row in enumerate(lines) if row.device]
    headings = [(index, row.label) for index, row in enumerate(lines) if not row.device]
    room = names - _INDENT - 20
    means = [(index, f"{row.mean:.1f} bpm") for index, row in devices]
    counts = [(index, str(row.sessions) if short else row.counts) for index, row in devices]
    labels = [(index, letters.fitted(row.label, room, theme.LABEL)) for index, row in devices]
    start = -names - _MEAN
    return [
        place.words(headings, start, fontWeight=600),
        place.words(labels, start + _INDENT),
        place.words(means, -40, align="right", fontWeight=600),
        place.words(counts, width + 24, fontSize=theme.SMALL),
    ]


def _marks(
    lines: Sequence[Row],
    every: pd.DataFrame,
    styles: Mapping[str, theme.Style],
    place: rows_of.Rows,
    width: int,
) -> list[Part]:
    highest = max([*every["value"], *(row.mean for row in lines if row.mean is not None)])
    values = ticks(0, highest * 1.02, width // 90)
    axis = {"title": None, "orient": "top", "values": values}
    x = quantity("bpm", (0, max(highest * 1.02, 1)), axis)
    dots, means = [], []
    for index, row in enumerate(lines):
        if row.device is None:
            continue
        own = every[(every["activity"] == row.activity) & (every["device"] == row.device)]
        style = styles[row.device]
        seen = {"row": index + 0.5, **style.of_row}
        dots += [{"bpm": round(value, 2), **seen} for value in own["value"]]
        middle = {"row": index + 0.2, "end": index + 0.8}
        means.append({"bpm": round(row.mean or 0, 2), **middle})
    shapes = {"fill": theme.OF_ROW, "shape": as_given("shape")}
    seen = {"size": _SHAPE, "opacity": 0.6, "stroke": theme.PAPER}
    upright = {"x": x, "y": place.y(), "y2": up_to("end")}
    return [
        mark("point", dots, {"x": x, "y": place.y(), **shapes}, filled=True, **seen),
        mark("rule", means, upright, color=theme.INK, strokeWidth=6),
    ]


STANDINGS = Chart(
    name="standings",
    about="archive",
    section="answer",
    needs=("whole_sessions", "standings", "devices"),
    question="How far off was each device, by activity?",
    finding="The page’s first sentence says it of every device.",
    alt=alt,
    draw=draw,
    told=True,
    published=False,
)
