"""What moved from one edition to the next."""

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import pandas as pd

from strapline.ground.tables.editions import CHANGES, KEY_NAMES, PUBLISHED
from strapline.keeping.editions.causes import Cause, told
from strapline.keeping.editions.in_force import InForce
from strapline.method.metrics.registry import METRICS

_OWN = ["value", "low", "high"]


def differing(before: pd.DataFrame, after: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows of two frames under PUBLISHED that are not the same in both: few in a large
    archive."""
    differs = ~PUBLISHED.joined([before, after]).duplicated(keep=False).to_numpy()
    return before[differs[: len(before)]], after[differs[len(before) :]]


def changes(
    before: pd.DataFrame,
    after: pd.DataFrame,
    found: Iterable[Cause],
    redefined: Mapping[str, tuple[str, str]] = MappingProxyType({}),
) -> pd.DataFrame:
    """From two frames under PUBLISHED and what changed in between, a frame under CHANGES.

    A figure has moved if it or its interval differs; both are kept to nine digits, so that it
    has not for a library's rounding. One of the METRICS that are `redefined`, each with its names
    then and now, has not moved either: it is another figure.
    """
    before, after = differing(before, after)
    both = _with_words(before).merge(
        _with_words(after), on=KEY_NAMES, how="outer", suffixes=("_before", "_after")
    )
    both["change"] = _change(both)
    of = both["figure"].map(lambda figure: rests_on(figure, redefined))
    others = (both["change"] == "moved") & of.astype(bool)
    both.loc[others, "change"] = "redefined"
    for place, when in enumerate(("before", "after")):
        both.loc[others, f"wording_{when}"] = [redefined[key][place] for key in of[others]]
    rows = both[both["change"] != ""].sort_values(KEY_NAMES, ignore_index=True)
    causes = list(found)
    reasons = {
        (place, session): told([cause for cause in causes if cause.touches(place, session)])
        for place, session in rows[["place", "session"]].drop_duplicates().to_numpy()
    }
    rows["why"] = [
        reasons[place, session]
        for place, session in zip(rows["place"], rows["session"], strict=True)
    ]
    rows["unit"] = rows["unit_after"].fillna(rows["unit_before"])
    rows = rows.rename(columns={"value_before": "before", "value_after": "after"})
    return CHANGES.frame({name: rows[name] for name in CHANGES.column_names})


def counts(table: pd.DataFrame) -> dict[str, int]:
    """How many rows of a frame under CHANGES there are of each kind of change."""
    kinds = ("moved", "redefined", "reworded", "new", "gone")
    return {kind: int((table["change"] == kind).sum()) for kind in kinds}


def _with_words(table: pd.DataFrame) -> pd.DataFrame:
    """Without categories, which two tables need not share, and with `is_there`."""
    return table.astype(dict.fromkeys([*KEY_NAMES, "unit"], object)).assign(is_there=True)


def _change(both: pd.DataFrame) -> pd.Series:
    change = pd.Series("", index=both.index, dtype=object)
    moved = pd.Series(False, index=both.index)
    for name in _OWN:
        old, new = both[f"{name}_before"], both[f"{name}_after"]
        moved |= (old != new) & ~(old.isna() & new.isna())
    old, new = both["wording_before"], both["wording_after"]
    reworded = (old != new) & ~(old.isna() & new.isna())
    change[moved] = "moved"
    change[reworded] = "reworded"
    change[both["is_there_before"].isna()] = "new"
    change[both["is_there_after"].isna()] = "gone"
    return change


def redefined(before: InForce, after: InForce) -> dict[str, tuple[str, str]]:
    """The METRICS whose formula holds another number now, with their names then and now."""
    was, now = _tolerance(before), _tolerance(after)
    return {
        each.key: (each.named(*was), each.named(*now))
        for each in METRICS
        if each.reckoned(*was) != each.reckoned(*now)
    }


def rests_on(figure: str, metrics: Iterable[str]) -> str:
    """Which of these a figure of PUBLISHED is, or is a statistic of ('mean_mae'); else ''."""
    return next((key for key in metrics if figure == key or figure.endswith(f"_{key}")), "")


def _tolerance(state: InForce) -> tuple[float, float]:
    """In beats and in percent; 0 where nothing says it."""
    stage = state.stages.get("measure")
    said = stage.settings.get("tolerance", {}) if stage else {}
    return float(said.get("beats", 0)), float(said.get("percent", 0))
