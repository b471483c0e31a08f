"""Every figure of a session: each device, each scope, each view of the clocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope, Status
from strapline.method.agreement.scopes import scopes
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Given
from strapline.method.metrics.metric_rows import measured, views
from strapline.method.signal.spacing import is_line, usual_s

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Effort, Intervals, Tolerance

# What no picture of the device has a part in.
OF_STRAP = ("mean_reference", "maximum_reference")
IN_ORDER: Given = "whole session in order"


def session_metrics(
    aligned: pd.DataFrame,
    intake: SessionIntake,
    maximum: MaximumHeartRate | None,
    tolerance: Tolerance,
    intervals: Intervals,
    effort: Effort,
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED; empty where nothing was aligned.

    `maximum` is what bands of effort go by, as `session_maximum` tells it. A device that reports
    too seldom for a line has no figures of seconds in order.
    """
    found: list[dict[str, Any]] = []
    for view in views(aligned, intake):
        for scope, part in scopes(view.rows, intake.segments, maximum, effort):
            sides = Compared.of(part, tolerance)
            where: list[Given] = ["every scope"]
            if scope == Scope.WHOLE:
                where.append("whole session")
            found += _rows(view.names, scope, part, sides, where, intervals)
    for view in views(aligned, intake):
        compared = view.rows["status"] == Status.COMPARED
        if compared.any() and is_line(usual_s(view.rows.loc[compared, "stands_for_s"].to_numpy())):
            sides = Compared.in_order(view.rows, tolerance)
            found += _rows(view.names, Scope.WHOLE, view.rows, sides, [IN_ORDER], intervals)
    shown = {r.recording: r.resolution.pixel_bpm for r in intake.tested if r.resolution}
    return METRICS.from_rows([_as_shown(row, shown.get(row["recording"], 0.0)) for row in found])


def _as_shown(row: dict[str, Any], pixel_bpm: float) -> dict[str, Any]:
    """A figure in bpm of the device, no better known than by half a pixel of the picture that its
    readings are from: they may all be off by that to one side."""
    if row["unit"] != "bpm" or row["metric"] in OF_STRAP:
        return row
    low, high = row["ci_low"] - pixel_bpm / 2, row["ci_high"] + pixel_bpm / 2
    is_signed = registry.metric(row["metric"]).plus
    return row | {"ci_low": low if is_signed else max(low, 0.0), "ci_high": high}


def _rows(
    names: dict[str, str],
    scope: str,
    part: pd.DataFrame,
    sides: Compared,
    where: Sequence[Given],
    intervals: Intervals,
) -> list[dict[str, Any]]:
    n = int((part["status"] == Status.COMPARED).sum())
    told = names | {"scope": scope, "n": n}
    # Not by the view: where two are the same seconds, their intervals are the same.
    seed = " ".join(str(told[key]) for key in ("session", "recording", "scope"))
    sampled = Sampled(sides, intervals, seed)
    return [told | row for row in measured(registry.given(*where), sampled)]
