"""Rows under METRICS: a device's seconds in one view of the clocks, and figures of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.method.agreement.interval import UNKNOWN
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Metric
from strapline.method.signal.spacing import is_line, usual_s

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake


@dataclass(frozen=True)
class View:
    """`rows` of the aligned table that are of one recording in one view of the clocks, n of them,
    one a second of the session, and the columns of METRICS that say which. Masks and rates in bpm
    have the shape (n,)."""

    names: dict[str, str]
    rows: pd.DataFrame

    @cached_property
    def reference(self) -> np.ndarray:
        return self.rows["reference_bpm"].to_numpy()

    @cached_property
    def device(self) -> np.ndarray:
        return self.rows["device_bpm"].to_numpy()

    @cached_property
    def stands_for_s(self) -> np.ndarray:
        return self.rows["stands_for_s"].to_numpy()

    @cached_property
    def compared(self) -> np.ndarray:
        return (self.rows["status"] == Status.COMPARED).to_numpy()

    @cached_property
    def missed(self) -> np.ndarray:
        """Where the device alone is missing."""
        return (self.rows["status"] == Status.NO_DEVICE).to_numpy()

    @property
    def is_line(self) -> bool:
        """Whether anything was compared, by reports near enough for a line between them."""
        return bool(self.compared.any()) and is_line(usual_s(self.stands_for_s[self.compared]))


def views(aligned: pd.DataFrame, intake: SessionIntake) -> Iterator[View]:
    for (recording, device, alignment), rows in aligned.groupby(
        ["recording", "device", "alignment"], observed=True, sort=False
    ):
        names = intake.names(str(recording), str(device)) | {"alignment": str(alignment)}
        yield View(names, rows)


def metric_rows(
    view: View, scope: str, sides: Compared, keys: Iterable[str], n: float
) -> list[dict[str, object]]:
    """Rows of METRICS without intervals, of the figures with these keys; `n` in s.

    Rows, since a frame of its own for every few figures takes longer than the figures.
    """
    names = view.names | {"scope": scope, "n": round(n), "ci_low": math.nan, "ci_high": math.nan}
    return [
        names | {"metric": each.key, "value": value_of(each, sides), "unit": each.unit}
        for each in registry.chosen(keys)
    ]


def value_of(metric: Metric, compared: Compared) -> float:
    """NaN where the figure is not defined."""
    return metric.value(compared) if compared.n or not metric.needs_pairs else math.nan


def measured(metrics: Iterable[Metric], sampled: Sampled) -> list[dict[str, Any]]:
    """The figure's own columns of METRICS, a row a figure."""
    rows = []
    for metric in metrics:
        value = value_of(metric, sampled.compared)
        interval = UNKNOWN if math.isnan(value) else metric.interval.of(value, sampled)
        rows.append(
            {
                "metric": metric.key,
                "value": value,
                "ci_low": interval.low,
                "ci_high": interval.high,
                "unit": metric.unit,
            }
        )
    return rows
