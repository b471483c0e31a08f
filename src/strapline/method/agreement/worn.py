"""Where devices were worn, as comparisons and firmware are told."""

import pandas as pd

from strapline.ground.vocabulary import Placement


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
