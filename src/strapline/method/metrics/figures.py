"""The figures of one session, as METRICS hold them."""

import math
from collections import defaultdict

import pandas as pd

from strapline.ground.vocabulary import Scope
from strapline.method.metrics import registry
from strapline.method.metrics.value import Value

Key = tuple[str, str, str]


class Figures:
    """The METRICS of one session, found by recording, scope and view of the clocks."""

    def __init__(self, metrics: pd.DataFrame) -> None:
        self._found: dict[Key, dict[str, Value]] = defaultdict(dict)
        names = ["recording", "scope", "alignment", "metric"]
        keys = metrics[names].astype(str).to_numpy().tolist()
        numbers = metrics[["value", "ci_low", "ci_high"]].to_numpy(float).tolist()
        for (recording, scope, view, metric), row in zip(keys, numbers, strict=True):
            self._found[recording, scope, view][metric] = Value(*row)

    def get(self, recording: str, scope: str, view: str, metric: str) -> Value:
        """The figure; missing (NaN) where the table does not have it."""
        return self._found.get((recording, scope, view), {}).get(metric, Value(math.nan))

    def compared(self, recording: str, view: str) -> bool:
        """Whether any second of the session was compared."""
        return not math.isnan(self.get(recording, Scope.WHOLE, view, "mean_device").value)

    def values(self, recording: str, scope: str, view: str) -> dict[str, float]:
        """Every known figure by name, missing ones as NaN."""
        return {
            metric.key: self.get(recording, scope, view, metric.key).value
            for metric in registry.METRICS
        }
