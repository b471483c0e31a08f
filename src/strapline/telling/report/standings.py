"""How closely devices follow the strap, activity by activity: a sentence, and rows for a table.

Averages are means of sessions; over all activities, means of those.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.tables.archive import called
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND, Clocks
from strapline.ground.words import bpm, in_words, listed, number, plain, sessions_at
from strapline.method.agreement.standings import COVERAGE, count_over_all


@dataclass(frozen=True)
class Standing:
    """One device at one activity, or over all; figures by the names that STANDINGS has, NaN where
    there is none; `usual_error`, the median of its sessions; `faults` a session; `as_stated`: how
    many of the sessions count as its app states, in average and highest alone; `not_counted`: how
    many more were compared and do not count."""

    device: str
    label: str
    activity: str
    sessions: int
    as_stated: int
    not_counted: int
    wearers: int
    faults: float
    usual_error: float
    figures: Mapping[str, float]

    def mean(self, metric: str) -> float:
        return self.figures.get(metric, math.nan)

    @property
    def error(self) -> float:
        return self.mean("mae")

    @property
    def over_all(self) -> bool:
        return self.activity == ALL_ACTIVITIES


def standing_rows(
    standings: pd.DataFrame, faults: pd.DataFrame, labels: Mapping[Any, str]
) -> list[Standing]:
    """From STANDINGS, and FAULTS of any kind: over all activities, then activity by activity, and
    there the devices from closest to furthest."""
    names = {"device": str, "activity": str, "alignment": str, "metric": str}
    table = standings.astype(names)
    found = []
    settled = table[table["alignment"] == Clocks.SETTLED]
    shared = count_over_all(standings)
    for key, own in settled.groupby(["activity", "device"]):
        activity, device = map(str, key)
        covered = own["metric"] == COVERAGE
        counts = own.loc[~covered, ["sessions", "as_stated", "wearers"]].max().fillna(0).astype(int)
        compared = own.loc[covered, "sessions"].sum()
        over = shared if activity == ALL_ACTIVITIES else [activity]
        found.append(
            Standing(
                device=device,
                label=called(labels, device, activity),
                activity=activity,
                sessions=counts["sessions"],
                as_stated=counts["as_stated"],
                wearers=counts["wearers"],
                not_counted=max(int(compared - counts["sessions"] + counts["as_stated"]), 0),
                faults=_faults_a_session(faults, device, over),
                usual_error=float(own.loc[own["metric"] == "mae", "median"].sum(min_count=1)),
                figures=dict(zip(own["metric"], own["mean"].astype(float), strict=True)),
            )
        )
    return sorted(found, key=_order)


def over_all_words(standings: pd.DataFrame, chosen: bool) -> str:
    """Which these are, and which stand apart; `chosen`: in the settings."""
    shared = count_over_all(standings)
    apart = sorted(set(standings["activity"].astype(str)) - {*shared, ALL_ACTIVITIES})
    if not shared:
        return ""
    why = "the settings leave it out" if chosen else "not every device has sessions enough there"
    if len(apart) > 1:
        why = why.replace(" it ", " them ")
    left = f"; {_listed(apart)} {'stand' if apart[1:] else 'stands'} apart, for {why}"
    return f"All activities: {_listed(shared)}{left if apart else ''}."


def from_best(rows: Sequence[Standing]) -> list[Standing]:
    """Those of single activities whose error is known, from the smallest."""
    own = (row for row in rows if not row.over_all and row.sessions)
    return sorted((row for row in own if not math.isnan(row.error)), key=lambda row: row.error)


def lead(rows: Sequence[Standing], firmwares: Sequence[str] = ()) -> str:
    """The one device of the rows at its best and at its worst activity; with which firmwares, where
    they were several."""
    known = from_best(rows)
    if not known:
        return ""
    best, worst = known[0], known[-1]
    name, at = plain(best.label), sessions_at(best.sessions, best.activity)
    run = f", with firmware {listed(list(map(plain, firmwares)))}" if len(firmwares) > 1 else ""
    if best is worst:
        return f"{name} was off by {bpm(best.error)} on average in {at}{run}."
    return (
        f"{name} was off by {bpm(best.error)} in {at} and by {number(worst.error)} in "
        f"{sessions_at(worst.sessions, worst.activity)}{run}."
    )


def leads(rows: Sequence[Standing], firmwares: Mapping[str, Sequence[str]]) -> list[str]:
    """That of each device, in order of their mean over all activities, else of their names."""
    order = [row.device for row in rows if row.over_all]
    order += sorted({row.device for row in rows}.difference(order))
    told = (
        lead([row for row in rows if row.device == device], firmwares.get(device, ()))
        for device in order
    )
    return [sentence for sentence in told if sentence]


def _listed(activities: Sequence[str]) -> str:
    return listed([in_words(name).lower() for name in activities])


def _faults_a_session(faults: pd.DataFrame, device: str, activities: Sequence[str]) -> float:
    """The mean of these activities."""
    own = faults[(faults["device"] == device) & (faults["kind"] == ANY_KIND)]
    own = own[own["activity"].isin(activities)]
    return float((own["episodes"] / own["sessions"]).mean()) if len(own) else math.nan


def _order(row: Standing) -> tuple[bool, str, float, str]:
    error = math.inf if math.isnan(row.error) else row.error
    return not row.over_all, row.activity, error, row.device
