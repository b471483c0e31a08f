"""The archive's figures with one row a session and device: what statistics over sessions need."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED, Placement, Scope
from strapline.method.agreement.votes import votes

if TYPE_CHECKING:
    from strapline.ground.settings import OverAll

KEYS = ["session", "wearer", "activity", "device", "alignment"]
# Fewer are no mean over activities.
FEWEST_ACTIVITIES = 2


def session_table(metrics: pd.DataFrame, wanted: tuple[str, ...]) -> pd.DataFrame:
    """From METRICS: KEYS, a column a wanted figure of the whole session, and `seconds` and
    `minutes` compared.

    What does not vote is left out. Recordings of one device in one session are averaged, for they
    are no two sessions.
    """
    chosen = (metrics["scope"] == Scope.WHOLE) & metrics["metric"].isin(wanted)
    own = metrics[chosen & votes(metrics)]
    own = own.astype(dict.fromkeys([*KEYS, "metric"], str))
    table = own.pivot_table(index=KEYS, columns="metric", values="value", observed=True)
    seconds = own.groupby(KEYS)["n"].mean()
    table = table.reindex(columns=list(wanted)).assign(seconds=seconds, minutes=seconds / 60)
    return table.reset_index()


def by_activity(
    table: pd.DataFrame, keys: list[str], over_all: OverAll
) -> Iterator[tuple[tuple[str, ...], pd.DataFrame]]:
    """Groups by `keys` and then activity, all of them among these, as far as they count over all.
    In each group `done` is the activity of the session."""
    table = table.assign(done=table["activity"])
    counted = table[table["done"].isin(over_all.activities)] if over_all.activities else table
    both = pd.concat([counted.assign(activity=ALL_ACTIVITIES), table])
    for names, group in both.groupby([*keys, "activity"], sort=True):
        yield tuple(str(name) for name in names), group


def shared_activities(figures: pd.DataFrame, over_all: OverAll) -> list[str]:
    """The activities that count over all, in order: those at which every device was compared, but
    for devices that were compared at one alone; else a device would look better for what it was
    spared. Of these the ones that `over_all` names, or else those that every device repeated, where
    there are two: how it varies at others nobody knows. None where fewer than two are shared.
    `figures` has session, device, activity, and `n`, the seconds compared."""
    compared = figures[figures["n"] > 0]
    at = compared.groupby("device")["activity"].transform("nunique")
    several = compared[at >= FEWEST_ACTIVITIES].groupby(["activity", "device"])
    # Sessions, a row an activity and a column a device.
    of_each = several["session"].nunique().unstack(fill_value=0)
    shared, repeated = (sorted(of_each.index[(of_each >= n).all(axis="columns")]) for n in (1, 2))
    if len(shared) < FEWEST_ACTIVITIES:
        return []
    if over_all.activities:
        return [activity for activity in shared if activity in over_all.activities]
    return repeated if len(repeated) >= FEWEST_ACTIVITIES else shared


def stated_wearers(table: pd.DataFrame) -> int:
    """Different wearers, those nobody stated not counted."""
    return int(table.loc[table["wearer"] != UNSTATED, "wearer"].nunique())


def worn(placed: pd.DataFrame, held: pd.DataFrame) -> pd.DataFrame:
    """Where each device sat and what ran on it in each session, with the session's `started_at`;
    not known of one that was worn twice at once.

    placed: a frame under PLACEMENTS; held: one under SESSIONS.
    """
    keys = ["session", "device"]
    twice = placed.duplicated(keys, keep=False)
    known = placed[[*keys, "placement", "firmware"]].astype(
        {**dict.fromkeys(keys, str), "placement": str}
    )
    known["placement"] = known["placement"].mask(twice, Placement.OTHER)
    known["firmware"] = known["firmware"].mask(twice)
    starts = held[["session", "started_at"]].astype({"session": str})
    return known.drop_duplicates(keys).merge(starts, on="session", how="left")
