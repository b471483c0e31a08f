"""Head to head: every pair of devices that were worn in the same sessions.

Each is judged by the seconds in which both could be compared with the reference.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import COMPARISONS, PAIRED
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED, Scope, root
from strapline.method.agreement.head_to_head import ALPHA, adjust_for_side, head_to_head
from strapline.method.agreement.medians import median_interval
from strapline.method.agreement.session_table import KEYS, by_activity, session_table
from strapline.method.agreement.votes import votes
from strapline.method.metrics import registry
from strapline.method.metrics.shared_seconds import FIGURES

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, OverAll

SIDES = ("left", "right")
# What is known of each session beside its figures.
SESSION = ("wearer", "side_a", "side_b", "minutes_a", "minutes_b", "failed_a", "failed_b")


def comparisons(
    metrics: pd.DataFrame, worn: pd.DataFrame, criteria: Criteria, over_all: OverAll
) -> pd.DataFrame:
    """A frame under COMPARISONS from the archive's METRICS.

    worn: `session`, `device` and `placement`, one row each at most.
    """
    pairs = _failures(_pairs(metrics, worn), metrics, criteria)
    rows = [
        {
            "device_a": device_a,
            "device_b": device_b,
            "activity": activity,
            "alignment": alignment,
            **_compared(
                own, metric, f"{device_a} {device_b} {root(activity)} {alignment} {metric}"
            ),
        }
        for (device_a, device_b, alignment, activity), own in by_activity(
            pairs, ["device_a", "device_b", "alignment"], over_all
        )
        for metric in FIGURES
    ]
    return COMPARISONS.from_rows(_as_families(rows))


def paired(metrics: pd.DataFrame, worn: pd.DataFrame, over_all: OverAll) -> pd.DataFrame:
    """A frame under PAIRED, of the sessions that `comparisons` counts."""
    names = ["device_a", "device_b", "alignment"]
    rows = [
        {**dict(zip([*names, "activity"], key, strict=True)), "metric": metric}
        | {"unit": registry.metric(metric).unit, "session": session, "difference": difference}
        for key, own in by_activity(_pairs(metrics, worn), names, over_all)
        for metric in FIGURES
        for session, difference in zip(own["session"], _differences(own, metric), strict=True)
        if not math.isnan(difference)
    ]
    return PAIRED.from_rows(rows)


def _differences(own: pd.DataFrame, metric: str) -> np.ndarray:
    """A minus B in each session, NaN where one of them has no figure."""
    difference: np.ndarray = (own[f"{metric}_a"] - own[f"{metric}_b"]).to_numpy(float)
    return difference


def _as_families(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """With what depends on how many pairs are judged together: those over all activities are one
    family, those at single ones another.

    By Bonferroni, so that the interval of each median, of a level that holds for all together,
    leaves out 0 just where the adjusted p is below ALPHA.
    """
    pairs = Counter(_family(row) for row in rows if row["sessions"])
    return [row | _judged(row, max(pairs[_family(row)], 1)) for row in rows]


def _family(row: dict[str, Any]) -> tuple[str, str, bool]:
    return row["alignment"], row["metric"], row["activity"] == ALL_ACTIVITIES


def _judged(row: dict[str, Any], pairs: int) -> dict[str, Any]:
    interval = median_interval(np.sort(row["differences"]), 1 - ALPHA / pairs)
    return {
        "low": interval.low,
        "high": interval.high,
        "pairs": pairs,
        "p_family": min(pairs * row["p"], 1.0) if row["sessions"] else math.nan,
        "people_p_family": min(pairs * row["people_p"], 1.0)
        if not math.isnan(row["people_p"])
        else math.nan,
        # 2 / 2^n times the number of pairs must be below ALPHA.
        "sessions_needed": math.floor(math.log2(2 * pairs / ALPHA)) + 1,
    }


def _failures(pairs: pd.DataFrame, metrics: pd.DataFrame, criteria: Criteria) -> pd.DataFrame:
    """With `failed_a` and `failed_b`: whether each failed in the session as a whole; missing where
    nothing says."""
    table = session_table(metrics, ("within_either",))
    within = table.set_index(["session", "alignment", "device"])["within_either"]
    for side in ("a", "b"):
        keys = pd.MultiIndex.from_frame(pairs[["session", "alignment", f"device_{side}"]])
        found = within.reindex(keys).to_numpy(float)
        failed = np.where(np.isnan(found), np.nan, found < criteria.time_within)
        pairs = pairs.assign(**{f"failed_{side}": failed})
    return pairs


def _pairs(metrics: pd.DataFrame, worn: pd.DataFrame) -> pd.DataFrame:
    """A row a session, view and pair: FIGURES and `side` of A and B, and `minutes`.

    Recordings of one device in one session are averaged, for they are no two sessions.
    """
    own = metrics[metrics["scope"].astype(str).str.startswith(Scope.BESIDE) & votes(metrics)]
    own = own.astype(dict.fromkeys([*KEYS, "recording", "scope", "metric"], str))
    device_of = own.set_index(["session", "recording"])["device"].to_dict()
    others = own["scope"].str.removeprefix(Scope.BESIDE)
    beside = [str(device_of.get(key)) for key in zip(own["session"], others, strict=True)]
    own = own.assign(beside=pd.Series(beside, own.index, dtype=str))
    figures = own.pivot_table(index=[*KEYS, "beside"], columns="metric", values="value")
    figures = figures.reindex(columns=list(FIGURES))
    minutes = own.groupby([*KEYS, "beside"])["n"].mean() / 60
    table = figures.assign(minutes=minutes).reset_index().astype({"device": str, "beside": str})
    # 'left' of 'left_wrist'.
    side = worn["placement"].str.split("_").str[0]
    table = table.merge(worn[["session", "device"]].assign(side=side), how="left")
    turned = table.rename(columns={"device": "beside", "beside": "device"})
    shared = ["session", "wearer", "activity", "alignment", "device", "beside"]
    pairs = table.merge(turned, on=shared, suffixes=("_a", "_b"))
    pairs = pairs.rename(columns={"device": "device_a", "beside": "device_b"})
    return pairs[pairs["device_a"] < pairs["device_b"]]


def _compared(own: pd.DataFrame, metric: str, name: str) -> dict[str, Any]:
    differences = _differences(own, metric)
    known = ~np.isnan(differences)
    differences, of = differences[known], {each: own[each].to_numpy()[known] for each in SESSION}
    wearers = np.where(of["wearer"] == UNSTATED, "", of["wearer"]).astype(str)
    result = head_to_head(differences, wearers, name)
    sides = pd.Series(of["side_a"]), pd.Series(of["side_b"])
    sided = (sides[0].isin(SIDES) & sides[1].isin(SIDES) & (sides[0] != sides[1])).to_numpy(bool)
    balanced = adjust_for_side(differences[sided], of["side_a"][sided] == "left")
    return {
        "metric": metric,
        "unit": registry.metric(metric).unit,
        "sessions": result.sessions,
        "wearers": np.unique(wearers[wearers != ""]).size,
        "minutes": float(np.minimum(of["minutes_a"], of["minutes_b"]).sum()),
        "differences": differences,
        "difference": result.median,
        "p": result.p,
        "people_p": result.people_p,
        "closer": result.closer,
        "closer_low": result.closer_interval.low,
        "closer_high": result.closer_interval.high,
        "failed_a": int(np.nansum(of["failed_a"])),
        "failed_b": int(np.nansum(of["failed_b"])),
        "a_left": balanced.sessions_a_left,
        "a_right": balanced.sessions_a_right,
        "confounded": balanced.confounded,
        "balanced": balanced.device,
        "balanced_low": balanced.device_interval.low,
        "balanced_high": balanced.device_interval.high,
    }
