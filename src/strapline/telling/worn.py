"""Which device was worn where, and with which firmware, in each session that is evidence."""

import pandas as pd

from strapline.ground.vocabulary import Clocks, Scope

COLUMNS = ["session", "device", "activity", "wearer", "started_at", "placement", "firmware", "mae"]


def worn_table(
    placements: pd.DataFrame, sessions: pd.DataFrame, metrics: pd.DataFrame
) -> pd.DataFrame:
    """COLUMNS, a row a recording that METRICS has an error of, in order of time.

    From PLACEMENTS, SESSIONS and METRICS; `mae` is that of the whole session.
    """
    own = metrics[
        (metrics["metric"] == "mae")
        & (metrics["alignment"] == Clocks.SETTLED)
        & (metrics["scope"] == Scope.WHOLE)
        & metrics["value"].notna()
    ]
    keys = ["session", "recording"]
    errors = own[[*keys, "device", "activity", "value"]].astype(
        {"session": str, "recording": str, "device": str, "activity": str}
    )
    where = placements[[*keys, "placement", "firmware"]].astype(
        dict.fromkeys([*keys, "placement"], str)
    )
    starts = sessions[["session", "wearer", "started_at"]].astype({"session": str, "wearer": str})
    table = (
        errors.rename(columns={"value": "mae"}).merge(where, on=keys).merge(starts, on="session")
    )
    return table.sort_values(["started_at", *keys])[COLUMNS].reset_index(drop=True)
