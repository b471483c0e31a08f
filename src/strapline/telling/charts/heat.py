"""A table as a picture: rows by columns, a number in each cell, the shade saying it again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.vocabulary import ALL, ALL_ACTIVITIES, Clocks
from strapline.ground.words import counted, in_words, listed, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.ends import ROOM_OF_ROW
from strapline.telling.charts.letters import fitted
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.standings import NOTHING


@dataclass(frozen=True)
class Cell:
    """What a cell says, in small beneath it, and how dark it is, from 0 to 1; None: empty."""

    said: str
    beneath: str
    shade: float | None


@dataclass(frozen=True)
class Grid:
    """Cells by row and column; `rows` are labels, a row's part after its first line smaller."""

    rows: Sequence[tuple[str, str]]
    columns: Sequence[str]
    cells: Mapping[tuple[int, int], Cell]

    def content(self, subtitle: str) -> Content:
        """The grid as what a picture shows."""
        cells = [
            {
                "row": row,
                "column": column,
                "said": cell.said,
                "beneath": cell.beneath,
                "shade": 0 if cell.shade is None else round(0.04 + 0.3 * cell.shade, 3),
            }
            for (row, column), cell in sorted(self.cells.items())
        ]
        names = [
            [fitted(label, ROOM_OF_ROW, 1, bold=True), *filter(None, [note])]
            for label, note in self.rows
        ]
        return Content(
            subtitle, {"cells": by_column(cells)}, {"names": names, "columns": [*self.columns]}
        )


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """The mean error (STANDINGS) of each device at each activity, with its sessions."""
    found = means(tables.standings)
    if found.empty:
        return None
    # Devices with a figure over all activities first, from closest to furthest.
    found = found.assign(single=found["activity"] != ALL_ACTIVITIES)
    devices = list(dict.fromkeys(found.sort_values(["single", "mean", "device"])["device"]))
    activities = sorted(set(found["activity"]), key=lambda name: (name == ALL_ACTIVITIES, name))
    known = found.set_index(["device", "activity"])
    highest = float(found["mean"].max())
    cells = {}
    for row, device in enumerate(devices):
        for column, activity in enumerate(activities):
            if (device, activity) not in known.index:
                cells[row, column] = Cell("–", "", None)
                continue
            own = known.loc[(device, activity)]
            shade = float(own["mean"]) / highest if highest else 0.0
            cells[row, column] = Cell(f"{own['mean']:.1f}", f"{own['sessions']:.0f}×", shade)
    names = [(plain(tables.labels.get(device, device)), "") for device in devices]
    heads = [ALL.capitalize() if at == ALL_ACTIVITIES else in_words(at) for at in activities]
    return Grid(names, heads, cells).content(
        f"Mean absolute error, mean of sessions, bpm; darker: further off; {CLOCKS}."
    )


def alt(tables: ArchiveTables) -> str:
    """One sentence with the closest device at each activity."""
    found = means(tables.standings)
    parts = []
    for activity, group in found[found["activity"] != ALL_ACTIVITIES].groupby("activity"):
        best = group.sort_values(["mean", "device"]).iloc[0]
        name = plain(tables.labels.get(best["device"], best["device"]))
        sessions = counted(int(best["sessions"]), "session")
        parts.append(f"{in_words(str(activity))} {name} ({best['mean']:.1f} bpm, {sessions})")
    return f"Smallest mean error by activity: {listed(parts)}." if parts else NOTHING


def means(table: pd.DataFrame) -> pd.DataFrame:
    """Device, activity, mean and sessions of the mean absolute error, where there is one."""
    own = table[
        (table["metric"] == "mae") & (table["alignment"] == Clocks.SETTLED) & table["mean"].notna()
    ]
    return own[["device", "activity", "mean", "sessions"]].astype({"device": str, "activity": str})


HEAT_TABLE = Chart(
    name="heat-table",
    about="archive",
    section="activities",
    needs=("standings", "devices"),
    question="Which device is closest at what?",
    finding="Each activity has a finding of its own; the alternative text says all of them.",
    alt=alt,
    content=content,
    published=False,
)
