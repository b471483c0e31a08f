"""How far off each device is at each activity, from the closest over all to the furthest."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import product
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import ALL, ALL_ACTIVITIES, Clocks
from strapline.ground.words import bpm, counted, in_words, listed, plain, sessions_at
from strapline.method.agreement.standings import count_over_all
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.charts.chart import CLOCKS, Chart
from strapline.telling.charts.grid import EMPTY, grid
from strapline.telling.charts.head_to_head import closer_first, compared
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.charts.standings import NOTHING

_KEYS = ["device", "activity"]
# Of the greatest mean: where the scale ends. An interval that goes on beyond is cut off there.
_BEYOND = 1.5


def content(tables: ArchiveTables, bench: Sequence[str]) -> Content | None:
    """The mean error (STANDINGS) of each device at each activity, and its interval (FINDINGS)."""
    found = means(tables.standings).merge(intervals(tables.findings), how="left", on=_KEYS)
    if found.empty:
        return None
    # Devices with a figure over all activities first, from closest to furthest.
    found = found.assign(single=found["activity"] != ALL_ACTIVITIES)
    devices = list(dict.fromkeys(found.sort_values(["single", "mean", "device"])["device"]))
    activities = sorted(set(found["activity"]), key=lambda name: (name != ALL_ACTIVITIES, name))
    place = places(sorted(devices), bench)
    most = max(math.ceil(_BEYOND * found["mean"].max()), 1)
    every = product(range(len(devices)), range(len(activities)))
    cells: dict[tuple[int, int], Mapping[str, Any]] = dict.fromkeys(every, EMPTY)
    for own in found.to_dict("records"):
        cells[devices.index(own["device"]), activities.index(own["activity"])] = {
            "said": f"{own['mean']:.1f}",
            "counted": f"{own['sessions']:.0f}×",
            "place": place[own["device"]],
            "at": round(own["mean"] / most, 3),
            **{
                end: None if math.isnan(own[end]) else round(own[end] / most, 3)
                for end in ("low", "high")
            },
        }
    names = [(plain(tables.labels.get(device, device)), "") for device in devices]
    heads = [ALL.capitalize() if at == ALL_ACTIVITIES else in_words(at) for at in activities]
    return grid(
        f"Mean absolute error, bpm, {CLOCKS}. Dot: mean; line: its 95 % interval.",
        names,
        heads,
        cells,
        most,
    )


def finding(tables: ArchiveTables) -> str:
    """'Smallest error so far: Lantern watch, by 4.0 bpm over all activities', where it was at
    each; where no two devices have such a mean, of the activity with most sessions."""
    found = means(tables.standings).sort_values(["mean", "device"])
    if found.empty:
        return ""
    over_all = found["activity"] == ALL_ACTIVITIES
    own, most = found[over_all], found[~over_all].groupby("activity")["sessions"].sum()
    if len(own) > 1:
        shared = count_over_all(tables.standings)
        named = "all activities" if len(shared) == len(most) else listed([*map(_lower, shared)])
        where = f"over {named}"
    else:
        own = found[found["activity"] == most.idxmax()]
        where = f"in {sessions_at(int(own['sessions'].iloc[0]), str(most.idxmax()))}"
    best = own.iloc[0]
    name = plain(tables.labels.get(best["device"], best["device"]))
    if len(own) == 1:
        return f"{name} was off by {bpm(best['mean'])} {where}"
    differs = _differs(found[~over_all], best["device"], tables.labels)
    which = differs or f"{name}, {bpm(best['mean'])} {where}"
    sure = not differs and _beats(best["device"], tables) >= {*own["device"]} - {best["device"]}
    return f"Smallest error so far{'' if sure else ', perhaps by chance'}: {which}"


def _beats(device: str, tables: ArchiveTables) -> set[str]:
    """The devices that it was closer than by more than chance, worn together."""
    sides = (closer_first(row) for row in compared(tables.comparisons) if row["clear"])
    return {other for closer, other in sides if closer == device}


def _differs(at_each: pd.DataFrame, best: str, labels: Mapping[Any, str]) -> str:
    """'Lantern watch at 3 of 5 activities, Amber band at 1'; '' where `best` had the smallest at
    each that it did, by the means as they are printed."""
    closest = {
        str(activity): set(own.loc[(printed := own["mean"].round(1)) == printed.min(), "device"])
        for activity, own in at_each.groupby("activity")
        if len(own) > 1
    }
    did = at_each.loc[at_each["device"] == best, "activity"]
    if all(best in closest.get(activity, {best}) for activity in did):
        return ""
    led = Counter(device for devices in closest.values() for device in sorted(devices))
    (first, most), *others = sorted(led.items(), key=lambda item: (-item[1], item[0]))
    name = plain(labels.get(first, first))
    rest = [f"{plain(labels.get(device, device))} at {count}" for device, count in others]
    return ", ".join([f"{name} at {most} of {len(closest)} activities", *rest])


def _lower(activity: str) -> str:
    return in_words(activity).lower()


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


def means(standings: pd.DataFrame) -> pd.DataFrame:
    """The mean absolute error of each device at each activity, where there is one."""
    own = standings[(standings["metric"] == "mae") & (standings["alignment"] == Clocks.SETTLED)]
    return own.loc[own["mean"].notna(), [*_KEYS, "mean", "sessions"]].astype(
        dict.fromkeys(_KEYS, str)
    )


def intervals(findings: pd.DataFrame) -> pd.DataFrame:
    """The ends of its interval."""
    own = findings[
        (findings["statistic"] == "mae_mean") & (findings["alignment"] == Clocks.SETTLED)
    ]
    return own[[*_KEYS, "low", "high"]].astype(dict.fromkeys(_KEYS, str))


RANKING = Chart(
    name="ranking",
    about="archive",
    section="ranking",
    needs=("standings", "findings", "devices", "comparisons"),
    question="How far off is each device at each activity?",
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
