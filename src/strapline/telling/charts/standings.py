"""Across the archive: how far each device was off, by activity, a mark a session."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.records.marks import starred
from strapline.ground.vocabulary import ALL_ACTIVITIES, Clocks, Scope
from strapline.ground.words import counted, in_words, listed, plain, worn_by
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.ends import ROOM_OF_ROW
from strapline.telling.charts.letters import fitted
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places

NOTHING = "No session could be compared with a reference yet."


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


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """Mean absolute error of every session, with the mean that STANDINGS states.

    A panel an activity, and in each the devices in the same order, from the one that is closest
    over all.
    """
    lines = [row for row in rows(tables) if row.device]
    if not lines:
        return None
    closest = sorted(rows(tables, over_all=True), key=lambda row: row.mean or 0)
    order = list(dict.fromkeys(row.device for row in [*closest, *lines] if row.device))
    place = places(sorted(order), bench)
    every = sessions(tables.whole_sessions)
    means, marks = [], []
    for row in lines:
        at = {"panel": row.activity, "row": order.index(row.device or "")}
        counts = counted(row.sessions, "session")
        means.append(
            {**at, "mean": round(row.mean or 0, 2), "words": [f"{row.mean:.1f} bpm", counts]}
        )
        own = every[(every["activity"] == row.activity) & (every["device"] == row.device)]
        style = {**at, "place": place[row.device or ""]}
        marks += [{**style, "bpm": round(value, 2)} for value in own["value"]]
    labels = {row.device: row.label for row in lines}
    names, meaning = starred([labels[device] for device in order])
    subtitle = (
        f"Mean absolute error in bpm: a dot is a session, the upright line their mean; {CLOCKS}."
    )
    return Content(
        f"{subtitle} {meaning}".strip(),
        {"marks": by_column(means, marks)},
        {
            "highest": round(max([*every["value"], *(row.mean or 0 for row in lines)]), 1),
            "headings": {row.activity: in_words(row.activity) for row in lines},
            "names": [fitted(name, ROOM_OF_ROW, 1, bold=True) for name in names],
        },
    )


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


STANDINGS = Chart(
    name="standings",
    about="archive",
    section="answer",
    needs=("whole_sessions", "standings", "devices"),
    question="How far off was each device, by activity?",
    finding="The page’s first sentence says it of every device.",
    alt=alt,
    content=content,
    told=True,
    published=False,
)
