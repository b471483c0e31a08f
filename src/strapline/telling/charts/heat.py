"""A table as a picture: rows by columns, a number in each cell, the shade saying it again."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.vocabulary import ALL, ALL_ACTIVITIES, Clocks
from strapline.ground.words import counted, in_words, listed, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts import letters, rows_of, theme
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.marks import Part, mark, panel, pixel, quantity, up_to, written
from strapline.telling.charts.sheet import CLOCKS, Sheet
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.standings import NOTHING

_NAMES = {False: 420, True: 250}
_DARKEST = 0.34
_GAP = 5
_HEADING = 1.2 * theme.SMALL
_NOTE, _SMALLEST = theme.SMALL - 3, 18


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

    def drawn(self, on: Sheet) -> tuple[Part, int]:
        """The grid as a panel that fills a sheet, and how many pixels it takes at its left."""
        names = _NAMES[on.frame.upright]
        width = on.width - names
        each = width / len(self.columns)
        heads = [letters.broken(c, each - 10, theme.SMALL, True, 2) for c in self.columns]
        above = _HEADING * max(map(len, heads)) + 16
        place = rows_of.Rows(len(self.rows), on.height - above - 40, most=220, least=64)
        x = quantity("column", (0, len(self.columns)))
        layers = [
            *self._shades(x, place),
            *self._words(x, place, each),
            *self._heads(heads, x, above),
            *self._names(place, names),
        ]
        return panel(layers, width, place.height), names

    def _shades(self, x: Part, place: rows_of.Rows) -> list[Part]:
        rows = []
        for (row, column), cell in sorted(self.cells.items()):
            darkness = 0 if cell.shade is None else 0.04 + (_DARKEST - 0.04) * cell.shade
            at = {"column": column, "right": column + 1, "row": row, "below": row + 1}
            rows.append({**at, "shade": round(darkness, 3)})
        shade = {"field": "shade", "type": "quantitative", "scale": None, "legend": None}
        ends = {"x": x, "x2": up_to("right"), "y": place.y(), "y2": up_to("below")}
        inset: Part = {"xOffset": _GAP, "x2Offset": -_GAP, "yOffset": _GAP, "y2Offset": -_GAP}
        look = {"color": theme.INK, **inset}
        thin = {
            "stroke": theme.INK,
            "strokeWidth": 1,
            "strokeOpacity": 0.35,
            "filled": False,
            **inset,
        }
        return [
            mark("rect", rows, {**ends, "fillOpacity": shade}, **look),
            mark("rect", [row for row in rows if not row["shade"]], ends, **thin),
        ]

    def _words(self, x: Part, place: rows_of.Rows, each: float) -> list[Part]:
        notes = [cell.beneath for cell in self.cells.values()]
        widest = max(letters.width(note, _NOTE) for note in notes)
        size = max(_SMALLEST, min(_NOTE, math.floor(_NOTE * (each - 2 * _GAP) / max(widest, 1))))
        said, beneath = [], []
        for (row, column), cell in sorted(self.cells.items()):
            middle = {"column": column + 0.5, "row": row + 0.5}
            said.append({**middle, "text": cell.said})
            note = letters.fitted(cell.beneath, each - 2 * _GAP, size)
            beneath.append({**middle, "text": note})
        at = {"x": x, "y": place.y(), "text": written("text")}
        look = {"align": "center", "baseline": "middle"}
        return [
            mark("text", said, at, dy=-13 if any(notes) else 0, fontWeight=600, **look),
            mark("text", beneath, at, dy=19, fontSize=size, **look),
        ]

    def _heads(self, heads: Sequence[Sequence[str]], x: Part, above: float) -> list[Part]:
        look = {"align": "center", "baseline": "top", "fontSize": theme.SMALL, "fontWeight": 600}
        drawn = []
        for line in range(max(map(len, heads))):
            said = [
                {"column": column + 0.5, "text": lines[line]}
                for column, lines in enumerate(heads)
                if line < len(lines)
            ]
            at = {"x": x, "y": pixel(line * _HEADING - above + 16), "text": written("text")}
            drawn.append(mark("text", said, at, **look))
        return drawn

    def _names(self, place: rows_of.Rows, names: int) -> list[Part]:
        """Two lines a row: a label, broken if need be, or the label and what stands with it."""
        room = names - 24
        above, below = [], []
        for row, (label, note) in enumerate(self.rows):
            if note:
                lines = [letters.fitted(label, room, theme.SMALL, True)]
            else:
                lines = letters.broken(label, room, theme.SMALL, True, most=2)
            second = note or "".join(lines[1:])
            above.append((row - (0.5 * _HEADING / place.each if second else 0), lines[0]))
            below.append((row + 0.5 * _HEADING / place.each, second))
        small, weight = {"fontSize": theme.SMALL}, {"fontWeight": 600}
        noted = any(note for _, note in self.rows)
        return [
            place.words(above, -names, **small, **weight),
            place.words(below, -names, **small, **({} if noted else weight)),
        ]


def draw(tables: ArchiveTables, sheet: Sheet) -> Specification:
    """The mean error (STANDINGS) of each device at each activity, with its sessions."""
    found = means(tables.standings)
    if found.empty:
        return sheet.saying()
    on = sheet.explained(
        f"Mean absolute error, mean of sessions, bpm; darker: further off; {CLOCKS}."
    )
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
                cells[row, column] = Cell("–", "no session", None)
                continue
            own = known.loc[(device, activity)]
            shade = float(own["mean"]) / highest if highest else 0.0
            sessions = counted(int(own["sessions"]), "session")
            cells[row, column] = Cell(f"{own['mean']:.1f}", sessions, shade)
    names = [(plain(tables.labels.get(device, device)), "") for device in devices]
    heads = [ALL.capitalize() if at == ALL_ACTIVITIES else in_words(at) for at in activities]
    drawn, left = Grid(names, heads, cells).drawn(on)
    return on.finished([drawn], between=40, left=left)


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
    draw=draw,
    published=False,
)
