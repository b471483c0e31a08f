"""How far off two devices of one session were in the seconds in which both could be compared.

A device that is missing where it is hard would else be held against one that is not.
"""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope, Status
from strapline.method.metrics import registry
from strapline.method.metrics.metric_rows import View, metric_rows, views

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake

FIGURES = ("mae", "mape")


def shared_seconds(aligned: pd.DataFrame, intake: SessionIntake) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED, in scopes `beside:<the other recording>`.

    A report that stands for many seconds counts by those of them in which the other device was
    compared too.
    """
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
    rows = one.rows[one.rows["status"] == Status.COMPARED]
    seconds = _shared(rows, other.rows[other.rows["status"] == Status.COMPARED])
    reference, device = rows["reference_bpm"].to_numpy(), rows["device_bpm"].to_numpy()
    error = np.abs(device - reference)
    total = float(np.sum(seconds))
    values = dict.fromkeys(FIGURES, np.nan)
    if total > 0:
        shares = seconds / total
        values = {"mae": float(shares @ error), "mape": float(100 * shares @ (error / reference))}
    told = [(each, values[each.key]) for each in registry.chosen(FIGURES)]
    return metric_rows(one, f"{Scope.BESIDE}{other.names['recording']}", told, total)


def _shared(rows: pd.DataFrame, others: pd.DataFrame) -> np.ndarray:
    """Of the seconds each row stands for, up to its own, those that one of `others` does too."""
    ends, lengths = _span(rows)
    other_ends, other_lengths = _span(others)
    if not (ends.size and other_ends.size):
        return np.zeros(ends.size)
    first = min(np.min(ends - lengths), np.min(other_ends - other_lengths))
    last = max(ends[-1], other_ends[-1])
    edges = np.zeros(int(last - first) + 2, dtype=int)
    np.add.at(edges, other_ends - first - other_lengths + 1, 1)
    np.add.at(edges, other_ends - first + 1, -1)
    covered = np.cumsum(edges[:-1]) > 0
    until = np.concatenate([[0.0], np.cumsum(covered)])
    counted: np.ndarray = until[ends - first + 1] - until[ends - first - lengths + 1]
    return counted


def _span(rows: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Second of each row since 1970, and how many whole seconds up to it it stands for."""
    ends = rows["time"].dt.tz_convert(None).to_numpy("datetime64[s]").astype("int64")
    return ends, np.maximum(rows["stands_for_s"].to_numpy().round().astype("int64"), 1)
