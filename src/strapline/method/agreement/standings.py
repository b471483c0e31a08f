"""What many sessions say of a device: the spread of its figures, by activity."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import STANDINGS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED, Clocks, Scope
from strapline.method.agreement.session_table import shared_activities
from strapline.method.agreement.votes import FEWEST_VOTING_S, votes

if TYPE_CHECKING:
    from strapline.ground.settings import OverAll

COVERAGE = "coverage"
SUMMARISED = (
    COVERAGE,
    "bias",
    "bias_percent",
    "maximum_difference",
    "maximum_difference_percent",
    "mae",
    "rmse",
    "mape",
    "within_beats",
    "within_percent",
    "within_either",
    "concordance",
    "delay_rising",
    "delay_falling",
)
KEYS = ["device", "activity", "alignment", "metric", "unit"]


def standings(
    metrics: pd.DataFrame,
    over_all: OverAll,
    counts: np.ndarray | None = None,
    stated: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """A frame under STANDINGS from the archive's METRICS: one row a device, activity, view of
    the clocks and figure.

    Each session counts once, whatever its length, and however many recordings it has of the
    device; one that does not count, or does not vote, counts only towards coverage. `counts`, shape
    (n,), tells rows of recordings that do. Over all activities each of `shared_activities` counts
    alike. `stated` are more rows of METRICS, of what apps state of devices without an export: each
    activity counts them among its own, and over all activities a device of which nothing else is
    known has no row.
    """
    chosen = (metrics["scope"] == Scope.WHOLE) & metrics["metric"].isin(SUMMARISED)
    voting = votes(metrics) if counts is None else votes(metrics) & counts
    whole = metrics[chosen & (voting | (metrics["metric"] == COVERAGE))].assign(as_stated=False)
    if stated is not None and len(stated):
        of_apps = stated[stated["n"] >= FEWEST_VOTING_S]
        whole = pd.concat([whole, of_apps.assign(as_stated=True)])
    of_sessions = whole.astype(dict.fromkeys([*KEYS, "session", "wearer"], str)).groupby(
        ["session", "wearer", *KEYS], as_index=False
    )
    once = of_sessions.agg({"value": "mean", "n": "mean", "as_stated": "max"})
    at_each = _spread(once)
    measured = once[~once["as_stated"] & (once["metric"] != COVERAGE)]
    shared = shared_activities(measured[measured["alignment"] == Clocks.SETTLED], over_all)
    means = at_each["mean"].rename("value").reset_index()
    known = set(measured["device"])
    overall = [_over_all(part[part["device"].isin(known)], shared) for part in (means, once)]
    spread = pd.concat([at_each, _spread(overall[0])])
    evidence = pd.concat([_evidence(once), _evidence(overall[1])])
    table = pd.concat([spread, evidence], axis=1).reset_index()
    table["over_all"] = table["activity"].isin(shared)
    return STANDINGS.frame({name: table[name] for name in STANDINGS.column_names})


def count_over_all(standings: pd.DataFrame) -> list[str]:
    """The activities of a frame under STANDINGS that count over all."""
    return sorted(set(standings.loc[standings["over_all"].eq(True), "activity"].astype(str)))


def _over_all(figures: pd.DataFrame, shared: Sequence[str]) -> pd.DataFrame:
    """The rows that count over all activities: of devices and figures that have each of them."""
    settled = figures["alignment"] == Clocks.SETTLED
    own = figures[settled & figures["activity"].isin(shared) & figures["value"].notna()]
    at = own.groupby(["device", "metric"])["activity"].transform("nunique")
    return own[at == len(shared)].assign(activity=ALL_ACTIVITIES)


def _spread(figures: pd.DataFrame) -> pd.DataFrame:
    """How the values lie, a row a group of KEYS."""
    values = figures.groupby(KEYS)["value"]
    named = {"mean": "mean", "sd": "std", "lowest": "min", "median": "median", "highest": "max"}
    return values.agg(list(named.values())).set_axis(list(named), axis="columns")


def _evidence(figures: pd.DataFrame) -> pd.DataFrame:
    """On how much that rests, a row a group of KEYS."""
    compared = figures["n"] > 0
    stated = figures["wearer"].where(compared & (figures["wearer"] != UNSTATED))
    session = figures["session"].where(compared)
    as_stated = session.where(figures["as_stated"])
    groups = figures.assign(session=session, wearer=stated, as_stated=as_stated).groupby(KEYS)
    return pd.DataFrame(
        {
            "sessions": groups["session"].nunique(),
            "as_stated": groups["as_stated"].nunique(),
            "wearers": groups["wearer"].nunique(),
            "minutes": groups["n"].sum() / 60,
        }
    )
