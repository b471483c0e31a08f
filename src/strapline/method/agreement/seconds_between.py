"""Between what the seconds themselves lay, sessions counting alike.

Limits of agreement hold 95 % of single errors where these are normal. A device that is mostly right
and sometimes far off is not: its limits lie where hardly a second does on the one side, and short
of its failures on the other.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import FINDINGS
from strapline.method.agreement.biases import Finding, finding_rows
from strapline.method.agreement.interval import UNKNOWN
from strapline.method.agreement.limit_intervals import FEWEST_SESSIONS
from strapline.method.agreement.session_table import session_table

# What lies below each, of all seconds.
BELOW = {"seconds_lower": 0.025, "seconds_upper": 0.975}


def seconds_between(metrics: pd.DataFrame, differences: pd.DataFrame) -> pd.DataFrame:
    """Rows of FINDINGS, at single activities, from the archive's METRICS and DIFFERENCES.

    Sessions are those that vote, FEWEST_SESSIONS or more, as for limits.
    """
    keys = ["session", "device", "alignment"]
    shares = differences.astype(dict.fromkeys(keys, str))
    voting = session_table(metrics, ("sd_of_differences",)).dropna(subset=["sd_of_differences"])
    rows: list[dict[str, Any]] = []
    for names, own in voting.groupby(["device", "alignment", "activity"], sort=True):
        if len(own) < FEWEST_SESSIONS:
            continue
        found = shares.merge(own[keys], on=keys)
        told: dict[str, Any] = dict(zip(("device", "alignment", "activity"), names, strict=True))
        ends = quantiles(found["difference_bpm"], found["share"], list(BELOW.values()))
        lay = zip(BELOW, ends, strict=True)
        each = (Finding(statistic, end, UNKNOWN, "bpm", len(own)) for statistic, end in lay)
        rows += finding_rows(told, own, each)
    return FINDINGS.from_rows(rows)


def quantiles(whole_bpm: pd.Series, share: pd.Series, below: list[float]) -> list[float]:
    """Below what those parts of all lie: of differences to a whole beat, each with a share of a
    session, evenly within a beat."""
    each = (share / share.sum()).groupby(whole_bpm).sum()
    reached = each.cumsum().to_numpy()
    middle = each.index.to_numpy(float)
    ends = np.column_stack([middle - 0.5, middle + 0.5]).ravel()
    up_to = np.column_stack([reached - each.to_numpy(), reached]).ravel()
    found: list[float] = np.interp(below, up_to, ends).tolist()
    return found
