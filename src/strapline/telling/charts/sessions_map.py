"""Which device was tested at what and on which side: where sessions are, and where none is yet."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import Placement
from strapline.ground.words import counted, in_words, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.grid import EMPTY, grid
from strapline.telling.charts.picture import Content
from strapline.telling.charts.standings import NOTHING

PLACES: dict[str, str] = {
    **{placement: placement.replace("_", " ") for placement in Placement},
    Placement.OTHER: "place not stated",
}


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """Sessions of each device, by activity and by where it was worn.

    Each device has a row for either wrist, and for other places where it was worn there.
    """
    worn = tables.worn
    if worn.empty:
        return None
    counts = sessions(worn)
    lines = rows(worn)
    activities = sorted(set(worn["activity"]))
    most = int(counts.max())
    cells = {
        (row, column): _cell(int(counts.get((device, place, activity), 0)), most)
        for row, (device, place) in enumerate(lines)
        for column, activity in enumerate(activities)
    }
    names = [(plain(tables.labels.get(device, device)), PLACES[place]) for device, place in lines]
    return grid(
        "Number of sessions that are evidence; darker: more. Empty: none yet.",
        names,
        [*map(in_words, activities)],
        cells,
    )


def sessions(worn: pd.DataFrame) -> pd.Series:
    """Different sessions by device, placement and activity; those with none are left out."""
    return worn.groupby(["device", "placement", "activity"])["session"].nunique()


def rows(worn: pd.DataFrame) -> list[tuple[str, str]]:
    """Device and placement of each row."""
    seen = set(zip(worn["device"], worn["placement"], strict=True))
    wrists = {Placement.LEFT_WRIST, Placement.RIGHT_WRIST}
    return [
        (device, place)
        for device in sorted(set(worn["device"]))
        for place in PLACES
        if (device, place) in seen
        or (place in wrists and any((device, wrist) in seen for wrist in wrists))
    ]


def alt(tables: ArchiveTables) -> str:
    """How many of the cells hold a session, and the fewest and most in one."""
    worn = tables.worn
    counts = sessions(worn)
    if counts.empty:
        return NOTHING
    possible = len(rows(worn)) * worn["activity"].nunique()
    fewest, most = int(counts.min()), int(counts.max())
    each = counted(most, "session") if fewest == most else f"{fewest} to {most} sessions"
    if len(counts) == possible:
        every = "Every combination" if possible > 1 else "The one combination"
        return f"{every} of device, place and activity has been tested, in {each}."
    return (
        f"{len(counts)} of {possible} combinations of device, place and activity "
        f"{'has' if len(counts) == 1 else 'have'} been tested, in {each}."
    )


def _cell(count: int, most: int) -> Mapping[str, Any]:
    if not count:
        return EMPTY
    return {"said": str(count), "shade": round(0.04 + 0.3 * count / most, 3)}


SESSIONS_MAP = Chart(
    name="sessions-map",
    about="archive",
    section="tested",
    needs=("sessions", "whole_sessions", "placements", "devices"),
    question="What has been tested, and on which wrist?",
    finding="It shows what there is to go by, and finds nothing of a device.",
    alt=alt,
    content=content,
    published=False,
)
