"""Which device was tested at what and on which side: where sessions are, and where none is yet."""

from collections.abc import Mapping

import pandas as pd

from strapline.ground.settings import Presentation
from strapline.ground.vocabulary import Placement
from strapline.ground.words import counted, in_words, plain
from strapline.telling.charts import theme
from strapline.telling.charts.heat import Cell, Grid
from strapline.telling.charts.render import Chart
from strapline.telling.charts.sheet import Sheet
from strapline.telling.charts.standings import NOTHING

PLACES: dict[str, str] = {
    Placement.LEFT_WRIST: "left wrist",
    Placement.RIGHT_WRIST: "right wrist",
    Placement.LEFT_ARM: "left arm",
    Placement.RIGHT_ARM: "right arm",
    Placement.CHEST: "chest",
    Placement.OTHER: "place not stated",
}


def sessions_map(
    worn: pd.DataFrame,
    presentation: Presentation,
    labels: Mapping[str, str],
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """Sessions of each device (`worn_table`), by activity and by where it was worn.

    Each device has a row for either wrist, and for other places where it was worn there.
    """
    title = "What has been tested, and on which wrist?"
    if worn.empty:
        return Sheet(frame, presentation, title).saying(NOTHING)
    on = Sheet(
        frame,
        presentation,
        title,
        "Number of sessions that are evidence; darker: more. Empty: none yet.",
    )
    counts = sessions(worn)
    lines = rows(worn)
    activities = sorted(set(worn["activity"]))
    most = int(counts.max())
    cells = {
        (row, column): _cell(int(counts.get((device, place, activity), 0)), most)
        for row, (device, place) in enumerate(lines)
        for column, activity in enumerate(activities)
    }
    names = [(plain(labels.get(device, device)), PLACES[place]) for device, place in lines]
    drawn, left = Grid(names, [*map(in_words, activities)], cells).drawn(on)
    return on.finished([drawn], alt(worn), between=40, left=left)


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


def alt(worn: pd.DataFrame) -> str:
    """How many of the cells hold a session, and the fewest and most in one."""
    counts = sessions(worn)
    if counts.empty:
        return NOTHING
    possible = len(rows(worn)) * worn["activity"].nunique()
    return (
        f"Of {counted(possible, 'combination')} of device, place and activity, {len(counts)} have "
        f"been tested, each in {int(counts.min())} to {counted(int(counts.max()), 'session')}; "
        f"{possible - len(counts)} have not."
    )


def _cell(count: int, most: int) -> Cell:
    if not count:
        return Cell("–", "", None)
    return Cell(str(count), "", count / most)
