"""Did a device change with its firmware? Sessions before and after, of the same wearer at the
same activity."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.tables.archive import FIRMWARE
from strapline.method.agreement.equivalence import NOT_TOLD, change_within
from strapline.method.agreement.session_table import by_activity, session_table, stated_wearers
from strapline.method.metrics import registry

if TYPE_CHECKING:
    from strapline.ground.settings import OverAll

FIGURES = ("bias", "mae")


def firmware_changes(metrics: pd.DataFrame, worn: pd.DataFrame, over_all: OverAll) -> pd.DataFrame:
    """A frame under FIRMWARE from the archive's METRICS.

    worn: `session`, `device`, `firmware` (missing where nobody states it) and `started_at`, one
    row each at most. Firmwares stand in the order of their first sessions; each is compared
    with the one before, over the sessions of a wearer at an activity that has some of both. Where
    there are none, the counts are of all, and the change is missing.
    """
    known = worn[["session", "device", "firmware", "started_at"]].dropna(subset=["firmware"])
    table = session_table(metrics, FIGURES).merge(known)
    rows = [
        {"device": device, "activity": activity, "alignment": alignment, **change}
        for (device, alignment, activity), own in by_activity(
            table, ["device", "alignment"], over_all
        )
        for change in _changes(own)
    ]
    return FIRMWARE.from_rows(rows)


def _changes(own: pd.DataFrame) -> Iterator[dict[str, Any]]:
    in_order = own.groupby("firmware")["started_at"].min().sort_values(kind="stable").index
    for earlier, later in pairwise(in_order):
        for metric in FIGURES:
            both = own[own["firmware"].isin([earlier, later])].dropna(subset=[metric])
            strata = both["done"].astype(str) + " " + both["wearer"].astype(str)
            alike = both.groupby(strata)["firmware"].transform("nunique") == len([earlier, later])
            change = NOT_TOLD
            if alike.any():
                both, strata = both[alike], strata[alike]
                is_later = (both["firmware"] == later).to_numpy()
                change = change_within(both[metric].to_numpy(float), is_later, strata.to_numpy(str))
            sides = [both[both["firmware"] == firmware] for firmware in (earlier, later)]
            yield {
                "metric": metric,
                "unit": registry.metric(metric).unit,
                "firmware_before": earlier,
                "firmware_after": later,
                "before": change.before,
                "after": change.after,
                "change": change.change,
                "low": change.interval.low,
                "high": change.interval.high,
                "p": change.p,
                "sessions_before": len(sides[0]),
                "sessions_after": len(sides[1]),
                "wearers": min(map(stated_wearers, sides)),
                "minutes": float(min(side["minutes"].sum() for side in sides)),
            }
