"""Every figure of a session: each device, each scope, each view of the clocks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope, Status
from strapline.method.agreement.metric_rows import views
from strapline.method.agreement.scope_figures import Pairs, proportional_slope, scope_figures
from strapline.method.agreement.scopes import scopes, session_maximum

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Effort, Intervals, Tolerance

__all__ = ["session_maximum", "session_metrics"]


def session_metrics(
    aligned: pd.DataFrame,
    intake: SessionIntake,
    maximum: MaximumHeartRate | None,
    tolerance: Tolerance,
    intervals: Intervals,
    effort: Effort,
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED; empty where nothing was aligned.

    `maximum` is what bands of effort go by, as `session_maximum` tells it.
    """
    found: list[dict[str, Any]] = []
    for view in views(aligned, intake):
        for scope, part in scopes(view.rows, intake.segments, maximum, effort):
            compared = part["status"] == Status.COMPARED
            n = round(part.loc[compared, "stands_for_s"].sum())
            names = view.names | {"scope": scope, "n": n}
            found += [names | row for row in _rows(part, names, tolerance, intervals)]
    return METRICS.from_rows(found)


def _rows(
    part: pd.DataFrame, names: dict[str, Any], tolerance: Tolerance, intervals: Intervals
) -> list[dict[str, Any]]:
    pairs = Pairs.of(part)
    seed = " ".join(str(names[key]) for key in ("session", "recording", "scope", "alignment"))
    figures = scope_figures(pairs, tolerance, intervals, seed)
    if names["scope"] == Scope.WHOLE:
        figures.append(proportional_slope(pairs, intervals.fewest_independent))
    return [
        {
            "metric": figure.metric,
            "value": figure.value,
            "ci_low": figure.interval.low,
            "ci_high": figure.interval.high,
            "unit": figure.unit,
        }
        for figure in figures
    ]
