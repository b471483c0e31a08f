"""Every figure of a session: each device, each scope, each view of the clocks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pandas as pd

from strapline.agreement.metric_rows import View, joined, metric_rows, views
from strapline.agreement.metrics import UNITS, agreement_metrics

if TYPE_CHECKING:
    from strapline.session.intake import SessionIntake
    from strapline.settings import Tolerance

WHOLE = "whole"


def session_metrics(
    aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED; empty where nothing was aligned."""
    return joined(
        [
            _figures(view, scope, part, tolerance)
            for view in views(aligned, intake)
            for scope, part in _scopes(view.rows, intake)
        ]
    )


def _scopes(rows: pd.DataFrame, intake: SessionIntake) -> Iterator[tuple[str, pd.DataFrame]]:
    yield WHOLE, rows
    elapsed = (rows["time"] - rows["time"].iloc[0]).dt.total_seconds()
    for segment in intake.segments:
        inside = (elapsed >= segment.start) & (elapsed < segment.end)
        yield f"segment:{segment.label}", rows[inside]


def _figures(view: View, scope: str, rows: pd.DataFrame, tolerance: Tolerance) -> pd.DataFrame:
    compared = rows[rows["status"] == "compared"]
    values = agreement_metrics(
        compared["reference_bpm"].to_numpy(),
        compared["device_bpm"].to_numpy(),
        _comparable(rows, compared),
        tolerance,
    )
    return metric_rows(view, scope, values, UNITS, compared["stands_for_s"].sum())


def _comparable(rows: pd.DataFrame, compared: pd.DataFrame) -> float:
    """How many pairs there would be if the device had missed none.

    Where it reports once a minute, a minute without a report is one pair missed.
    """
    interval_s = compared["stands_for_s"].max() if len(compared) else 1.0
    return len(compared) + (rows["status"] == "no_device").sum() / interval_s
