"""The figures of what was compared, with their intervals."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from strapline.method.agreement.interval import UNKNOWN
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Metric


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
