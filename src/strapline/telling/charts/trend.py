"""One device over time: the error of each of its sessions, and when its firmware changed."""

import math
from collections.abc import Sequence

import pandas as pd

from strapline.ground.words import counted, in_words, listed, plain
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.forest import NOTHING
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places

_DAY = 86_400_000
_MOST_DAYS = 8


def content(tables: DeviceTables, bench: Sequence[str]) -> Content | None:
    """Mean absolute error of each session by date, a panel an activity; sessions of one wearer are
    joined.

    An upright line stands where the device was first worn with another stated firmware.
    """
    own = dated(tables)
    if own.empty:
        return None
    place = places([tables.device], bench)[tables.device]
    wearers = pd.factorize(own["wearer"], sort=True)[0]
    times = [moment(at) for at in own["started_at"]]
    more = max(_DAY, round(0.03 * (times[-1] - times[0])))
    first, last = times[0] - more, times[-1] + more
    marks = [
        {"panel": activity, "place": place, "wearer": int(wearer), "time": time}
        | {"mae": round(float(mae), 2)}
        for activity, wearer, time, mae in zip(
            own["activity"], wearers, times, own["mae"], strict=True
        )
    ]
    changes = [{"time": moment(at), "version": version} for at, version in firmwares(own)]
    marked = " Upright line: new firmware." if changes else ""
    return Content(
        "Mean absolute error, bpm; a dot is a session, a line joins those of one wearer; "
        f"{CLOCKS}.{marked}",
        {"marks": by_column(marks), "changes": by_column(changes)},
        {
            "first": first,
            "last": last,
            "day": math.ceil(first / _DAY) * _DAY,
            "apart": math.ceil((last - first) / _MOST_DAYS / _DAY) * _DAY,
            "highest": round(1.1 * max(own["mae"]), 1),
            "headings": {activity: in_words(activity) for activity in sorted(set(own["activity"]))},
        },
    )


def alt(tables: DeviceTables) -> str:
    """Sessions, first and last date and range of errors, and each new firmware with its date."""
    own = dated(tables)
    if own.empty:
        return NOTHING
    first, last = own["started_at"].min(), own["started_at"].max()
    changes = [f"firmware {version} from {at:%Y-%m-%d}" for at, version in firmwares(own)]
    told = f"; {listed(changes)}" if changes else ""
    when = f"from {first:%Y-%m-%d} to {last:%Y-%m-%d}" if len(own) > 1 else f"on {first:%Y-%m-%d}"
    least = f"{own['mae'].min():.1f} to " if len(own) > 1 else ""
    return (
        f"{plain(tables.label)} in {counted(len(own), 'session')} {when}: mean absolute error "
        f"{least}{own['mae'].max():.1f} bpm{told}."
    )


def dated(tables: DeviceTables) -> pd.DataFrame:
    """Rows of `worn` whose session's start is known."""
    return tables.worn[tables.worn["started_at"].notna()]


def firmwares(own: pd.DataFrame) -> list[tuple[pd.Timestamp, str]]:
    """When each stated firmware was first worn, after the first of them."""
    known = own.dropna(subset=["firmware"])
    starts = known.groupby("firmware", sort=True)["started_at"].min().sort_values(kind="stable")
    return [(at, plain(str(version))) for version, at in starts.items()][1:]


def moment(at: pd.Timestamp) -> int:
    """In ms of Unix time."""
    return round(at.timestamp() * 1000)


TREND = Chart(
    name="trend",
    about="device",
    section="answer",
    needs=("sessions", "whole_sessions", "placements", "devices"),
    question="Has it changed over time?",
    finding="Whether it has is a claim, and the page tells claims with what they rest on.",
    alt=alt,
    content=content,
)
