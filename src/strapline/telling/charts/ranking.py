"""How far off each device is at each activity, from the closest over all to the furthest."""

import math
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import ALL, ALL_ACTIVITIES, Clocks
from strapline.ground.words import bpm, counted, in_words, plain
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.grid import EMPTY, grid
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.charts.standings import NOTHING

_FIGURES = ("device", "activity", "mean", "lowest", "highest", "sessions")
QUESTION = "How far off is each device at each activity?"


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """The mean error (STANDINGS) of each device at each activity, and the range of its sessions."""
    found = means(tables.standings)
    if found.empty:
        return None
    # Devices with a figure over all activities first, from closest to furthest.
    found = found.assign(single=found["activity"] != ALL_ACTIVITIES)
    devices = list(dict.fromkeys(found.sort_values(["single", "mean", "device"])["device"]))
    activities = sorted(set(found["activity"]), key=lambda name: (name != ALL_ACTIVITIES, name))
    place = places(sorted(devices), bench)
    most = max(math.ceil(found[["mean", "highest"]].max().max()), 1)
    every = product(range(len(devices)), range(len(activities)))
    cells: dict[tuple[int, int], Mapping[str, Any]] = dict.fromkeys(every, EMPTY)
    for own in found.to_dict("records"):
        cells[devices.index(own["device"]), activities.index(own["activity"])] = {
            "said": f"{own['mean']:.1f}",
            "counted": f"{own['sessions']:.0f}×",
            "place": place[own["device"]],
            **{
                part: None if math.isnan(own[name]) else round(own[name] / most, 3)
                for part, name in (("at", "mean"), ("low", "lowest"), ("high", "highest"))
            },
        }
    names = [(plain(tables.labels.get(device, device)), "") for device in devices]
    heads = [ALL.capitalize() if at == ALL_ACTIVITIES else in_words(at) for at in activities]
    return grid(
        "Mean absolute error, bpm. Dot: mean of sessions; line: lowest to highest; under ‘All’, "
        f"of activities; {CLOCKS}.",
        names,
        heads,
        cells,
        most,
    )


def finding(tables: ArchiveTables) -> str:
    """'Lantern watch was off least: by 4.0 bpm over all activities.'"""
    found = means(tables.standings)
    over_all = found[found["activity"] == ALL_ACTIVITIES].sort_values(["mean", "device"])
    if len(over_all) < 2:
        return QUESTION
    best = over_all.iloc[0]
    name = plain(tables.labels.get(best["device"], best["device"]))
    return f"{name} was off least: by {bpm(best['mean'])} over all activities"


def alt(tables: ArchiveTables) -> str:
    """One sentence with the closest device at each activity."""
    found = means(tables.standings)
    parts = []
    for activity, group in found[found["activity"] != ALL_ACTIVITIES].groupby("activity"):
        best = group.sort_values(["mean", "device"]).iloc[0]
        name = plain(tables.labels.get(best["device"], best["device"]))
        sessions = counted(int(best["sessions"]), "session")
        parts.append(f"{in_words(str(activity))}: {name} ({best['mean']:.1f} bpm, {sessions})")
    return f"Smallest mean error by activity: {'; '.join(parts)}." if parts else NOTHING


def means(table: pd.DataFrame) -> pd.DataFrame:
    """Of the mean absolute error, where there is one: its mean, lowest and highest."""
    own = table[
        (table["metric"] == "mae") & (table["alignment"] == Clocks.SETTLED) & table["mean"].notna()
    ]
    return own[[*_FIGURES]].astype({"device": str, "activity": str})


RANKING = Chart(
    name="ranking",
    about="archive",
    section="ranking",
    needs=("standings", "devices"),
    question=QUESTION,
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
