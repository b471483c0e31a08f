"""What many sessions say of a device: the spread of its figures, by activity."""

import pandas as pd

from strapline.ground.tables.archive import STANDINGS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED, Scope

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
    whole = metrics[(metrics["scope"] == Scope.WHOLE) & metrics["metric"].isin(SUMMARISED)]
    keys = ["device", "activity", "alignment", "metric", "unit"]
    of_sessions = whole.astype(dict.fromkeys([*keys, "session", "wearer"], str)).groupby(
        ["session", "wearer", *keys], as_index=False
    )
    once = of_sessions.agg({"value": "mean", "n": "mean"})
    both = pd.concat([once, once.assign(activity=ALL_ACTIVITIES)])
    table = pd.concat([_spread(both, keys), _evidence(both, keys)], axis=1)
    return STANDINGS.frame({name: table.reset_index()[name] for name in STANDINGS.column_names})


def _spread(figures: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    """How the sessions' values lie, a row a group of `keys`."""
    values = figures.groupby(keys)["value"]
    named = {"mean": "mean", "sd": "std", "lowest": "min", "median": "median", "highest": "max"}
    return values.agg(list(named.values())).set_axis(list(named), axis="columns")


def _evidence(figures: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    """On how much that rests, a row a group of `keys`."""
    compared = figures["n"] > 0
    stated = figures["wearer"].where(compared & (figures["wearer"] != UNSTATED))
    session = figures["session"].where(compared)
    groups = figures.assign(session=session, wearer=stated).groupby(keys)
    return pd.DataFrame(
        {
            "sessions": groups["session"].nunique(),
            "wearers": groups["wearer"].nunique(),
            "minutes": groups["n"].sum() / 60,
        }
    )
