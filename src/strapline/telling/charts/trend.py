"""One device over time: the error of each of its sessions, and when its firmware changed."""

import math
from collections.abc import Sequence

import pandas as pd

from strapline.ground.words import counted, in_words, listed, plain
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts import letters, theme
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.forest import NOTHING
from strapline.telling.charts.marks import Part, mark, panel, pixel, quantity, written
from strapline.telling.charts.sheet import AXIS, CLOCKS, Sheet, ticks
from strapline.telling.charts.specification import Specification

_BETWEEN = 62
_DATES = 50
_NAMES = {False: 260, True: 190}
_SMALLEST = 90
_DAY = 86_400_000
# Pixels of a date, and of an error, and the gap to the next.
_DATE = 200
_ERROR = 90


def draw(tables: DeviceTables, sheet: Sheet) -> Specification:
    """Mean absolute error of each session by date, a panel an activity.

    An upright line stands where the device was first worn with another stated firmware.
    """
    own = dated(tables)
    if own.empty:
        return sheet.saying()
    changes = firmwares(own)
    marked = " Upright line: new firmware." if changes else ""
    on = sheet.explained(f"Mean absolute error, bpm; a mark is a session; {CLOCKS}.{marked}")
    activities = sorted(set(own["activity"]))
    top = theme.SMALL + 12 if changes else 0
    room = (on.height - _DATES - top) / len(activities) - _BETWEEN
    left = _NAMES[on.frame.upright] + AXIS
    height, width = max(_SMALLEST, int(room)), on.width - left - 20
    y = _bpm(float(own["mae"].max()), height)
    style = on.styles([tables.device])[tables.device]
    span = _span(own)
    parts = []
    for index, activity in enumerate(activities):
        x = _dates(span, index == len(activities) - 1, width)
        rows = [
            {"time": _moment(at), "mae": round(mae, 2)}
            for at, mae in own.loc[own["activity"] == activity, ["started_at", "mae"]].itertuples(
                index=False
            )
        ]
        layers = [
            _named(in_words(activity), left, height),
            *_changes(changes, x),
            *(_versions(changes, span, width) if index == 0 else []),
            *_sessions(rows, {"x": x, "y": y}, style),
            _errors(rows, {"x": x, "y": y}, span, width),
        ]
        parts.append(panel(layers, width, height))
    return on.finished(parts, between=_BETWEEN, left=left)


def alt(tables: DeviceTables) -> str:
    """Sessions, first and last date and range of errors, and each new firmware with its date."""
    own = dated(tables)
    if own.empty:
        return NOTHING
    first, last = own["started_at"].min(), own["started_at"].max()
    changes = [f"firmware {version} from {at:%Y-%m-%d}" for at, version in firmwares(own)]
    told = f"; {listed(changes)}" if changes else ""
    return (
        f"{plain(tables.label)} in {counted(len(own), 'session')} from {first:%Y-%m-%d} to "
        f"{last:%Y-%m-%d}: mean absolute error {own['mae'].min():.1f} to "
        f"{own['mae'].max():.1f} bpm{told}."
    )


def dated(tables: DeviceTables) -> pd.DataFrame:
    """Rows of `worn` whose session's start is known."""
    return tables.worn[tables.worn["started_at"].notna()]


def firmwares(own: pd.DataFrame) -> list[tuple[pd.Timestamp, str]]:
    """When each stated firmware was first worn, after the first of them."""
    known = own.dropna(subset=["firmware"])
    starts = known.groupby("firmware", sort=True)["started_at"].min().sort_values(kind="stable")
    return [(at, plain(str(version))) for version, at in starts.items()][1:]


def _span(own: pd.DataFrame) -> tuple[int, int]:
    """From before the first session to after the last, in ms of Unix time."""
    first, last = _moment(own["started_at"].min()), _moment(own["started_at"].max())
    more = max(_DAY, round(0.03 * (last - first)))
    return first - more, last + more


def _moment(at: pd.Timestamp) -> int:
    return round(at.timestamp() * 1000)


def _dates(span: tuple[int, int], labelled: bool, width: int) -> Part:
    axis = {
        "title": None,
        "grid": False,
        "labels": labelled,
        # A date stands under its day also at the edge, below the zero of the other axis.
        "labelFlush": False,
        "labelPadding": 18,
        "values": _days(span, width),
        "labelExpr": "utcFormat(datum.value, '%Y-%m-%d')",
    }
    return quantity("time", span, axis)


def _days(span: tuple[int, int], width: int) -> list[int]:
    """Whole days, evenly apart, whose dates have room, also before the end of the panel."""
    first, last = -(-span[0] // _DAY), span[1] // _DAY
    apart = max(1, math.ceil((span[1] - span[0]) / _DAY * _DATE / width))
    end = span[1] - (span[1] - span[0]) * _DATE / 4 / width
    return [day * _DAY for day in range(first, last + 1, apart) if day * _DAY <= end]


def _bpm(highest: float, height: int) -> Part:
    """From zero to above the highest error, with room for its mark and its figure."""
    top = max(1.25 * highest, 1)
    axis = {"title": None, "values": ticks(0, top, max(3, height // 60))}
    return quantity("mae", (0, top), axis)


def _sessions(rows: list[dict[str, float]], at: dict[str, Part], style: theme.Style) -> list[Part]:
    look = {"shape": style.shape, "size": 420, "color": style.colour, "filled": True}
    edge = {"stroke": theme.PAPER, "strokeWidth": 2, "opacity": 0.9}
    return [
        mark("line", rows, at, stroke=style.colour, strokeWidth=2, opacity=0.4),
        mark("point", rows, at, **look, **edge),
    ]


def _errors(
    rows: list[dict[str, float]], at: dict[str, Part], span: tuple[int, int], width: int
) -> Part:
    """The error above each mark whose neighbours leave room for it."""
    apart = _ERROR * (span[1] - span[0]) / width
    times = [-math.inf, *(row["time"] for row in rows), math.inf]
    said = [
        {**row, "text": f"{row['mae']:.1f}"}
        for row, before, after in zip(rows, times, times[2:], strict=False)
        if row["time"] - before >= apart and after - row["time"] >= apart
    ]
    look = {"dy": -16, "baseline": "bottom", "fontSize": theme.SMALL}
    return mark("text", said, {**at, "text": written("text")}, **look)


def _named(text: str, left: int, height: int) -> Part:
    """The activity, in the middle of its panel's height at the edge of the sheet."""
    lines = letters.broken(text, left - AXIS - 10, theme.LABEL, bold=True, most=2)
    first = height / 2 - (len(lines) - 1) * theme.LABEL / 2
    look = {"align": "left", "baseline": "middle", "fontWeight": 600}
    return mark("text", [{}], {"x": pixel(-left), "y": pixel(first)}, text=lines, **look)


def _changes(changes: Sequence[tuple[pd.Timestamp, str]], x: Part) -> list[Part]:
    rows = [{"time": _moment(at)} for at, _ in changes]
    look = {"color": theme.INK, "strokeWidth": 2.5, "strokeDash": [8, 6]}
    return [mark("rule", rows, {"x": x}, **look)] if rows else []


def _versions(
    changes: Sequence[tuple[pd.Timestamp, str]], span: tuple[int, int], width: int
) -> list[Part]:
    """The name of each new firmware above its line, those that find no room left out."""
    drawn, free = [], 0.0
    for at, version in changes:
        place = (_moment(at) - span[0]) / (span[1] - span[0]) * width
        text = letters.fitted(version, 300, theme.SMALL)
        wide = letters.width(text, theme.SMALL)
        start = min(place, width - wide)
        if start < free:
            continue
        free = start + wide + 20
        where = {"x": pixel(start), "y": pixel(-10)}
        look = {"align": "left", "baseline": "bottom", "fontSize": theme.SMALL, "color": theme.INK}
        drawn.append(mark("text", [{}], where, text=text, **look))
    return drawn


TREND = Chart(
    name="trend",
    about="device",
    section="answer",
    needs=("sessions", "whole_sessions", "placements", "devices"),
    question="Has it changed over time?",
    finding="Whether it has is a claim, and the page tells claims with what they rest on.",
    alt=alt,
    draw=draw,
)
