"""Rows under METRICS: a device's seconds in one view of the clocks, and figures of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

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
    view: View,
    scope: str,
    values: Mapping[str, float],
    units: Mapping[str, str],
    n: float,
    low: Mapping[str, float] | None = None,
    high: Mapping[str, float] | None = None,
) -> list[dict[str, object]]:
    """Rows of METRICS; `n` in s, `low` and `high` are the ends of 95 % intervals.

    Rows, since a frame of its own for every few figures takes longer than the figures.
    """
    names = view.names | {"scope": scope, "n": round(n)}
    lower, upper = low or {}, high or {}
    return [
        names
        | {
            "metric": name,
            "value": value,
            "ci_low": lower.get(name, math.nan),
            "ci_high": upper.get(name, math.nan),
            "unit": units[name],
        }
        for name, value in values.items()
    ]
