"""Rows under METRICS: a device's seconds in one view of the clocks, and figures of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.method.agreement.interval import UNKNOWN
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Metric

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake


@dataclass(frozen=True)
class View:
    """`rows` of the aligned table that are of one recording in one view of the clocks, and the
    columns of METRICS that say which."""

    names: dict[str, str]
    rows: pd.DataFrame


def views(aligned: pd.DataFrame, intake: SessionIntake) -> Iterator[View]:
    for (recording, device, alignment), rows in aligned.groupby(
        ["recording", "device", "alignment"], observed=True, sort=False
    ):
        names = intake.names(str(recording), str(device)) | {"alignment": str(alignment)}
        yield View(names, rows)


def metric_rows(
    view: View, scope: str, values: Iterable[tuple[Metric, float]], n: float
) -> list[dict[str, object]]:
    """Rows of METRICS without intervals; `n` in s.

    Rows, since a frame of its own for every few figures takes longer than the figures.
    """
    names = view.names | {"scope": scope, "n": round(n)}
    missing = {"ci_low": math.nan, "ci_high": math.nan}
    return [
        names | {"metric": metric.key, "value": value, "unit": metric.unit} | missing
        for metric, value in values
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
