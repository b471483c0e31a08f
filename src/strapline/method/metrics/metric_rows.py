"""Rows under METRICS: figures of a device's seconds in one view of the clocks."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from strapline.method.agreement.interval import UNKNOWN
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Metric
from strapline.method.metrics.view import View


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
