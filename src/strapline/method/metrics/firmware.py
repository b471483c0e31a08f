"""Did a device change with its firmware? Sessions before and after.

What was done and who wore it differ between them too, and are taken off.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.tables.archive import FIRMWARE
from strapline.method.agreement.equivalence import adjusted_change
from strapline.method.agreement.session_table import by_activity, session_table, stated_wearers
from strapline.method.metrics import registry

if TYPE_CHECKING:
    from strapline.ground.settings import OverAll

FIGURES = ("bias", "mae")


def firmware_changes(metrics: pd.DataFrame, worn: pd.DataFrame, over_all: OverAll) -> pd.DataFrame:
    """A frame under FIRMWARE from the archive's METRICS.

    worn: `session`, `device`, `firmware` (missing where nobody states it) and `started_at`, one
    row each at most. Firmwares stand in the order of their first sessions; each is compared
    with the one before.
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
            known = own.dropna(subset=[metric])
            before, after = known[known["firmware"] == earlier], known[known["firmware"] == later]
            both = pd.concat([before, after])
            change = adjusted_change(
                both[metric].to_numpy(float),
                (both["firmware"] == later).to_numpy(),
                both[["done", "wearer"]].to_numpy(str),
            )
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
                "sessions_before": len(before),
                "sessions_after": len(after),
                "wearers": min(stated_wearers(side) for side in (before, after)),
                "minutes": float(min(side["minutes"].sum() for side in (before, after))),
            }
