"""Pictures to be published that show parts of the picture over time: frames that build up in a
video, and how far each device was off. Axes and names keep their places from frame to frame."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from strapline.ground.words import listed
from strapline.telling.charts.ends import STRAP
from strapline.telling.charts.picture import Content, Picture, by_column, by_row

_FAULT = ("place", "from", "to")
BUILD_UP, DIFFERENCES = "build-up", "differences"


def build_up(traces: Picture, title: str) -> dict[str, Picture]:
    """Of the picture over time: the strap alone, and then a device more in each, as 'build-up-1'
    and so on; none where that shows nothing. `title`: of all of them, before any is seen."""
    if traces.content is None:
        return {}
    ends = by_row(traces.content.datasets["ends"])
    shown = [end["place"] for end in ends]
    names = [end["label"] for end in ends]
    # What follows is of differences and faults.
    subtitle = f"{traces.content.subtitle.partition('.')[0]}."
    return {
        f"{BUILD_UP}-{count}": Picture(
            title,
            f"Heart rate over the session, by {listed(names[:count])}.",
            replace(only(traces.content, shown[:count]), subtitle=subtitle),
        )
        for count in range(1, len(ends) + 1)
        if shown[0] == STRAP
    }


def only(content: Content, places: Collection[int]) -> Content:
    """What it shows of the lines with these places, which keep theirs."""
    rows = [row for row in by_row(content.datasets["devices"]) if row["place"] in places]
    faults = [{name: row[name] for name in _FAULT} for row in rows if row.get("to") is not None]
    lines = [
        {name: value for name, value in row.items() if name not in _FAULT[1:]}
        for row in rows
        if row.get("to") is None
    ]
    ends = [end for end in by_row(content.datasets["ends"]) if end["place"] in places]
    kept = {"devices": by_column(faults, lines), "ends": by_column(ends)}
    return replace(content, datasets={**content.datasets, **kept})
