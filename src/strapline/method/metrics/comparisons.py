"""Head to head: every pair of devices that were worn in the same sessions.

Each is judged by the seconds in which both could be compared with the reference.
"""

from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import COMPARISONS
from strapline.ground.vocabulary import ALL_ACTIVITIES, Scope, root
from strapline.method.agreement.head_to_head import ALPHA, adjust_for_side, head_to_head, holm
from strapline.method.agreement.session_table import (
    KEYS,
    by_activity,
    stated_wearers,
)
from strapline.method.metrics import registry
from strapline.method.metrics.shared_seconds import FIGURES

SIDES = ("left", "right")


def comparisons(metrics: pd.DataFrame, worn: pd.DataFrame) -> pd.DataFrame:
    """A frame under COMPARISONS from the archive's METRICS.

    worn: `session`, `device` and `placement`, one row each at most.
    """
    pairs = _pairs(metrics, worn)
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
            pairs, ["device_a", "device_b", "alignment"]
        )
        for metric in FIGURES
    ]
    found = COMPARISONS.from_rows(rows)
    found["p_family"] = _by_family(found)
    found["sessions_needed"] = _sessions_needed(found)
    return found


def _pairs(metrics: pd.DataFrame, worn: pd.DataFrame) -> pd.DataFrame:
    """A row a session, view and pair: FIGURES and `side` of A and B, and `minutes`.

    Recordings of one device in one session are averaged, for they are no two sessions.
    """
    own = metrics[metrics["scope"].astype(str).str.startswith(Scope.BESIDE) & (metrics["n"] > 0)]
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
    own = own.dropna(subset=[f"{metric}_a", f"{metric}_b"])
    differences = (own[f"{metric}_a"] - own[f"{metric}_b"]).to_numpy(float)
    result = head_to_head(differences, name)
    sided = own["side_a"].isin(SIDES) & own["side_b"].isin(SIDES) & (own["side_a"] != own["side_b"])
    on_left = (own["side_a"] == "left")[sided].to_numpy(bool)
    balanced = adjust_for_side(differences[sided.to_numpy(bool)], on_left)
    return {
        "metric": metric,
        "unit": registry.metric(metric).unit,
        "sessions": result.sessions,
        "wearers": stated_wearers(own),
        "minutes": float(np.minimum(own["minutes_a"], own["minutes_b"]).sum()),
        "difference": result.mean,
        "low": result.interval.low,
        "high": result.interval.high,
        "p": result.p,
        "closer": result.closer,
        "closer_low": result.closer_interval.low,
        "closer_high": result.closer_interval.high,
        "a_left": balanced.sessions_a_left,
        "a_right": balanced.sessions_a_right,
        "confounded": balanced.confounded,
        "balanced": balanced.device,
        "balanced_low": balanced.device_interval.low,
        "balanced_high": balanced.device_interval.high,
    }


def _by_family(found: pd.DataFrame) -> pd.Series:
    """Holm's adjustment: pairs over all activities are one family, those at single ones another."""
    p_values = found.groupby(_families(found), observed=True)["p"]
    return p_values.transform(lambda p: holm(p.to_numpy(float)))


def _sessions_needed(found: pd.DataFrame) -> pd.Series:
    """The fewest sessions of a pair with which sign flips could show a difference at all, were
    it the clearest of its family: 2 / 2^n times the number of pairs must be below `ALPHA`."""
    pairs = found.groupby(_families(found), observed=True)["p"].transform("count")
    needed: pd.Series = np.floor(np.log2(2 * pairs.clip(lower=1) / ALPHA)) + 1
    return needed.astype("int64")


def _families(found: pd.DataFrame) -> list[pd.Series]:
    over_all = (found["activity"] == ALL_ACTIVITIES).rename("over_all")
    return [found["alignment"], found["metric"], over_all]
