"""How far off two devices of one session were in the seconds in which both could be compared, and
how far apart.

A device that is missing where it is hard would else be held against one that is not.
"""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.pairs import sample_sd
from strapline.method.metrics import registry
from strapline.method.metrics.metric_rows import View, metric_rows, views

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake

FIGURES = ("mae", "mape")
SPREAD = "sd_of_differences"


def shared_seconds(aligned: pd.DataFrame, intake: SessionIntake) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED, in scopes `beside:<the other recording>`
    and `against:<it>`."""
    by_view: dict[object, list[View]] = {}
    for view in views(aligned, intake):
        by_view.setdefault(view.names["alignment"], []).append(view)
    return METRICS.from_rows(
        [
            row
            for together in by_view.values()
            for one, other in permutations(together, 2)
            if one.names["device"] != other.names["device"]
            for row in _beside(one, other)
        ]
    )


def _beside(one: View, other: View) -> list[dict[str, object]]:
    shared = one.compared & other.compared
    device, reference = one.device[shared], one.reference[shared]
    error = np.abs(device - reference)
    values = dict.fromkeys(FIGURES, np.nan)
    if error.size:
        values = {"mae": float(error.mean()), "mape": float(100 * (error / reference).mean())}
    name, spread = other.names["recording"], registry.metric(SPREAD)
    told = [(each, values[each.key]) for each in registry.chosen(FIGURES)]
    told.append((spread, sample_sd(device - reference)))
    apart = [(spread, sample_sd(device - other.device[shared]))]
    return [
        *metric_rows(one, f"{Scope.BESIDE}{name}", told, error.size),
        *metric_rows(one, f"{Scope.AGAINST}{name}", apart, error.size),
    ]
