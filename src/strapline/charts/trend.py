"""One device over time: the error of each of its sessions, and when its firmware changed."""

import math
from collections.abc import Sequence

import pandas as pd

from strapline.charts import letters, sheet, theme
from strapline.charts.forest import NOTHING
from strapline.charts.marks import Part, mark, panel, pixel, quantity
from strapline.charts.render import Chart
from strapline.charts.sheet import Sheet
from strapline.charts.text import counted, listed, plain, words
from strapline.settings import Presentation

_HEADING = 66
_DATES = 50
_SMALLEST = 90
_DAY = 86_400_000
# Pixels of a date and the gap to the next.
_DATE = 200


def trend(
    worn: pd.DataFrame,
    device: str,
    label: str,
    presentation: Presentation,
    bench: Sequence[str] = (),
    alignment: str = "aligned",
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """Mean absolute error of each session (`worn_table`) by date, a panel an activity.

    An upright line stands where the device was first worn with another stated firmware.
    """
    title = f"{plain(label)}: has it changed over time?"
    own = worn[(worn["device"] == device) & worn["started_at"].notna()]
    if own.empty:
        return Sheet(frame, presentation, title).saying(NOTHING)
    changes = firmwares(own)
    marked = " Upright line: new firmware." if changes else ""
    on = Sheet(
        frame,
        presentation,
        title,
        f"Mean absolute error, bpm; a mark is a session; {sheet.CLOCKS[alignment]}.{marked}",
    )
    activities = sorted(set(own["activity"]))
    top = theme.SMALL + 12 if changes else 0
    room = (on.height - _DATES - top) / len(activities) - _HEADING
    height, width = max(_SMALLEST, int(room)), on.width - sheet.AXIS - 20
    style = theme.styles([device], presentation, bench)[device]
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
            *_changes(changes, x, presentation.ink),
            *(_versions(changes, span, width, presentation.ink) if index == 0 else []),
            *_sessions(rows, x, float(own["mae"].max()), height, style, presentation.paper),
        ]
        offset = 16 + (top if index == 0 else 0)
        heading = sheet.heading(words(activity), width, offset=offset)
        parts.append(panel(layers, width, height, heading))
    return on.finished(parts, alt(worn, device, label), between=_HEADING)


def alt(worn: pd.DataFrame, device: str, label: str) -> str:
    """Sessions, first and last date and range of errors, and each new firmware with its date."""
    own = worn[(worn["device"] == device) & worn["started_at"].notna()]
    if own.empty:
        return NOTHING
    first, last = own["started_at"].min(), own["started_at"].max()
    changes = [f"firmware {version} from {at:%Y-%m-%d}" for at, version in firmwares(own)]
    told = f"; {listed(changes)}" if changes else ""
    return (
        f"{plain(label)} in {counted(len(own), 'session')} from {first:%Y-%m-%d} to "
        f"{last:%Y-%m-%d}: mean absolute error {own['mae'].min():.1f} to "
        f"{own['mae'].max():.1f} bpm{told}."
    )


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
        "values": _days(span, width),
        "format": "%Y-%m-%d",
    }
    scale = {"domain": list(span), "nice": False, "type": "utc"}
    return {"field": "time", "type": "temporal", "scale": scale, "axis": axis}


def _days(span: tuple[int, int], width: int) -> list[int]:
    """Whole days, evenly apart, whose dates have room, also before the end of the panel."""
    first, last = -(-span[0] // _DAY), span[1] // _DAY
    apart = max(1, math.ceil((span[1] - span[0]) / _DAY * _DATE / width))
    end = span[1] - (span[1] - span[0]) * _DATE / 4 / width
    return [day * _DAY for day in range(first, last + 1, apart) if day * _DAY <= end]


def _sessions(
    rows: list[dict[str, float]],
    x: Part,
    highest: float,
    height: int,
    style: theme.Style,
    paper: str,
) -> list[Part]:
    top = max(1.1 * highest, 1)
    axis = {"title": None, "values": sheet.ticks(0, top, max(3, height // 60))}
    at = {"x": x, "y": quantity("mae", (0, top), axis)}
    look = {"shape": style.shape, "size": 420, "color": style.colour, "filled": True}
    edge = {"stroke": paper, "strokeWidth": 2, "opacity": 0.9}
    return [
        mark("line", rows, at, stroke=style.colour, strokeWidth=2, opacity=0.4),
        mark("point", rows, at, **look, **edge),
    ]


def _changes(changes: Sequence[tuple[pd.Timestamp, str]], x: Part, ink: str) -> list[Part]:
    rows = [{"time": _moment(at)} for at, _ in changes]
    look = {"color": ink, "strokeWidth": 2.5, "strokeDash": [8, 6]}
    return [mark("rule", rows, {"x": x}, **look)] if rows else []


def _versions(
    changes: Sequence[tuple[pd.Timestamp, str]], span: tuple[int, int], width: int, ink: str
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
        look = {"align": "left", "baseline": "bottom", "fontSize": theme.SMALL, "color": ink}
        drawn.append(mark("text", [{}], where, text=text, **look))
    return drawn
