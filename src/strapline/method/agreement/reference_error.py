"""The reference's own random error, where two devices or more were worn with it.

Of three instruments that err apart from one another, the variance of what one errs is half of the
sum of both variances of its differences less that of the difference of the other two (Grubbs 1948,
J Am Stat Assoc 43:243-264, from memory; the three-cornered hat of those who compare clocks). It is
what the two devices' differences have in common. Wrists of one moving body err together, and that
is taken for the reference's: it is an upper bound. An error that all three share is not in it.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import FINDINGS
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.biases import Finding, finding_rows
from strapline.method.agreement.interval import UNKNOWN, Interval
from strapline.method.agreement.means import mean_over_strata, on_these_wearers
from strapline.method.agreement.votes import votes

FIGURE = "sd_of_differences"
REFERENCE_ERROR = "reference_error"


def reference_errors(metrics: pd.DataFrame, held: pd.DataFrame) -> pd.DataFrame:
    """Rows of FINDINGS with the reference as device, from the archive's METRICS and SESSIONS."""
    references = held[["session", "reference"]].astype({"session": str}).dropna()
    table = _variances(metrics).merge(references, on="session")
    rows: list[dict[str, Any]] = []
    for names, own in table.groupby(["reference", "activity", "alignment"], sort=True):
        told: dict[str, Any] = dict(zip(("device", "activity", "alignment"), names, strict=True))
        rows += finding_rows(told, own, [_found(own)])
    return FINDINGS.from_rows(rows)


def _variances(metrics: pd.DataFrame) -> pd.DataFrame:
    """A row a session and view: the mean over pairs of devices, and the minutes they share."""
    own = metrics[(metrics["metric"] == FIGURE) & votes(metrics)]
    words = ["session", "wearer", "activity", "alignment", "device", "recording", "scope"]
    own = own[[*words, "value", "n"]].astype(dict.fromkeys(words, str))
    own[["kind", "other"]] = own["scope"].str.extract("^([a-z]+:?)(.*)$")
    beside, against = (own[own["kind"] == kind] for kind in (Scope.BESIDE, Scope.AGAINST))
    keys = ["session", "alignment", "recording", "other"]
    turned = beside[[*keys, "value"]].rename(columns={"recording": "other", "other": "recording"})
    pairs = beside.merge(turned, on=keys, suffixes=("", "_other"))
    pairs = pairs.merge(against[[*keys, "value"]], on=keys, suffixes=("", "_apart"))
    common = pairs["value"] ** 2 + pairs["value_other"] ** 2 - pairs["value_apart"] ** 2
    of = ["session", "wearer", "activity", "alignment"]
    groups = pairs.assign(variance=common / 2).groupby(of)
    found = groups.agg({"variance": "mean", "n": "mean"}).reset_index()
    return found.assign(minutes=found["n"] / 60)


def _found(own: pd.DataFrame) -> Finding:
    over = mean_over_strata(
        [on_these_wearers(own["variance"].to_numpy(float), own["wearer"].to_numpy(str))]
    )
    interval = UNKNOWN
    if over.interval.high > 0:
        interval = Interval(math.sqrt(max(over.interval.low, 0)), math.sqrt(over.interval.high))
    value = math.sqrt(over.mean) if over.mean > 0 else np.nan
    return Finding(REFERENCE_ERROR, value, interval, "bpm", over.sessions)
