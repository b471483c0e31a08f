"""What many sessions say of a device: the spread of its figures, by activity."""

from typing import Any

import pandas as pd

from strapline.agreement.scopes import WHOLE
from strapline.agreement.session_table import ALL_ACTIVITIES
from strapline.session.intake import UNSTATED
from strapline.tables.archive import STANDINGS

SUMMARISED = (
    "bias",
    "bias_percent",
    "maximum_difference",
    "mae",
    "rmse",
    "mape",
    "within_either",
    "concordance",
    "coverage",
)


def standings(metrics: pd.DataFrame) -> pd.DataFrame:
    """A frame under STANDINGS from the archive's METRICS: one row a device, activity, view of
    the clocks and figure. Each session counts once, whatever its length, and however many
    recordings it has of the device; sessions without a compared second count only towards
    coverage."""
    whole = metrics[(metrics["scope"] == WHOLE) & metrics["metric"].isin(SUMMARISED)]
    keys = ["device", "activity", "alignment", "metric", "unit"]
    of_sessions = whole.astype(dict.fromkeys([*keys, "session", "wearer"], str)).groupby(
        ["session", "wearer", *keys], as_index=False
    )
    once = of_sessions.agg({"value": "mean", "n": "mean"})
    both = pd.concat([once, once.assign(activity=ALL_ACTIVITIES)])
    rows = [
        dict(zip(keys, names, strict=True)) | _summary(group)
        for names, group in both.groupby(keys, observed=True)
    ]
    return STANDINGS.from_rows(rows)


def _summary(group: pd.DataFrame) -> dict[str, Any]:
    value, counted = group["value"], group[group["n"] > 0]
    return {
        "sessions": counted["session"].nunique(),
        "wearers": counted.loc[counted["wearer"] != UNSTATED, "wearer"].nunique(),
        "minutes": counted["n"].sum() / 60,
        "mean": value.mean(),
        "sd": value.std(),
        "lowest": value.min(),
        "median": value.median(),
        "highest": value.max(),
    }
