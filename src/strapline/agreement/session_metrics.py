"""Every figure of a session: each device, each scope, each view of the clocks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.agreement.metrics import UNITS, agreement_metrics
from strapline.tables import METRICS

if TYPE_CHECKING:
    from strapline.session.intake import SessionIntake
    from strapline.settings import Tolerance

WHOLE = "whole"


def session_metrics(
    aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED; empty where nothing was aligned."""
    frames = []
    for (recording, device, alignment), rows in aligned.groupby(
        ["recording", "device", "alignment"], observed=True, sort=False
    ):
        for scope, part in _scopes(rows, intake):
            names: dict[str, object] = {
                "session": intake.session,
                "wearer": intake.wearer,
                "activity": intake.activity,
                "device": device,
                "recording": recording,
                "scope": scope,
                "alignment": alignment,
            }
            frames.append(_figures(part, names, tolerance))
    return pd.concat(frames, ignore_index=True) if frames else METRICS.empty()


def _scopes(rows: pd.DataFrame, intake: SessionIntake) -> Iterator[tuple[str, pd.DataFrame]]:
    yield WHOLE, rows
    elapsed = (rows["time"] - rows["time"].iloc[0]).dt.total_seconds()
    for segment in intake.segments:
        inside = (elapsed >= segment.start) & (elapsed < segment.end)
        yield f"segment:{segment.label}", rows[inside]


def _figures(rows: pd.DataFrame, names: dict[str, object], tolerance: Tolerance) -> pd.DataFrame:
    compared = rows[rows["status"] == "compared"]
    values = agreement_metrics(
        compared["reference_bpm"].to_numpy(),
        compared["device_bpm"].to_numpy(),
        _comparable(rows, compared),
        tolerance,
    )
    count = len(values)
    return METRICS.frame(
        {name: np.full(count, value, dtype=object) for name, value in names.items()}
        | {
            "metric": list(values),
            "value": list(values.values()),
            "unit": [UNITS[name] for name in values],
            "n": np.full(count, round(compared["stands_for_s"].sum())),
        }
    )


def _comparable(rows: pd.DataFrame, compared: pd.DataFrame) -> float:
    """How many pairs there would be if the device had missed none.

    Where it reports once a minute, a minute without a report is one pair missed.
    """
    interval_s = compared["stands_for_s"].max() if len(compared) else 1.0
    return len(compared) + (rows["status"] == "no_device").sum() / interval_s
