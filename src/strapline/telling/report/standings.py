"""How closely devices follow the strap, activity by activity: a sentence, and rows for a table.

Averages are means of sessions; over all activities, means of those.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND, Clocks
from strapline.ground.words import bpm, counted, in_words, number, plain


@dataclass(frozen=True)
class Standing:
    """One device at one activity, or over all; figures by the names that STANDINGS has, NaN where
    there is none; `usual_error`, the median of its sessions; `faults` a session; `as_stated`: how
    many of the sessions count as its app states, in average and highest alone."""

    device: str
    label: str
    activity: str
    sessions: int
    as_stated: int
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
    standings: pd.DataFrame, faults: pd.DataFrame, labels: Mapping[str, str]
) -> list[Standing]:
    """From STANDINGS and FAULTS: over all activities, then activity by activity, and there the
    devices from closest to furthest."""
    names = {"device": str, "activity": str, "alignment": str, "metric": str}
    table = standings.astype(names)
    found = []
    settled = table[table["alignment"] == Clocks.SETTLED]
    for key, own in settled.groupby(["activity", "device"]):
        activity, device = map(str, key)
        found.append(
            Standing(
                device=device,
                label=labels.get(device, device),
                activity=activity,
                sessions=int(own["sessions"].max()),
                as_stated=int(own["as_stated"].max()),
                wearers=int(own["wearers"].max()),
                faults=_faults_a_session(faults, device, activity),
                usual_error=float(own.loc[own["metric"] == "mae", "median"].sum(min_count=1)),
                figures=dict(zip(own["metric"], own["mean"].astype(float), strict=True)),
            )
        )
    return sorted(found, key=_order)


def lead(rows: Sequence[Standing]) -> str:
    """The one device of the rows at its best and at its worst activity."""
    own = sorted((r for r in rows if not r.over_all and r.sessions), key=lambda r: r.error)
    known = [row for row in own if not math.isnan(row.error)]
    if not known:
        return ""
    best, worst = known[0], known[-1]
    name = plain(best.label)
    if best is worst:
        return f"{name} was off by {bpm(best.error)} on average in {_sessions(best)}."
    return (
        f"{name} was off by {bpm(best.error)} in {_activity(best)} sessions and by "
        f"{number(worst.error)} in {_activity(worst)}."
    )


def leads(rows: Sequence[Standing]) -> list[str]:
    """That of each device, in order of their mean over all activities, else of their names."""
    order = [row.device for row in rows if row.over_all]
    order += sorted({row.device for row in rows}.difference(order))
    told = (lead([row for row in rows if row.device == device]) for device in order)
    return [sentence for sentence in told if sentence]


def _sessions(row: Standing) -> str:
    return counted(row.sessions, f"{_activity(row)} session")


def _activity(row: Standing) -> str:
    return in_words(row.activity).lower()


def _faults_a_session(faults: pd.DataFrame, device: str, activity: str) -> float:
    own = faults[
        (faults["device"] == device)
        & (faults["activity"] == activity)
        & (faults["kind"] == ANY_KIND)
    ]
    sessions = own["sessions"].sum()
    return float(own["episodes"].sum() / sessions) if sessions else math.nan


def _order(row: Standing) -> tuple[bool, str, float, str]:
    error = math.inf if math.isnan(row.error) else row.error
    return not row.over_all, row.activity, error, row.device
