"""Rows under METRICS: a device's seconds in one view of the clocks, and figures of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.tables.sessions import METRICS

if TYPE_CHECKING:
    from strapline.session.intake import SessionIntake


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
) -> pd.DataFrame:
    """A frame under METRICS; `n` in s, `low` and `high` are the ends of 95 % intervals."""
    count = len(values)
    ends = {"ci_low": low or {}, "ci_high": high or {}}
    return METRICS.frame(
        {
            name: np.full(count, value, dtype=object)
            for name, value in (view.names | {"scope": scope}).items()
        }
        | {
            "metric": list(values),
            "value": list(values.values()),
            "unit": [units[name] for name in values],
            "n": np.full(count, round(n)),
        }
        | {column: [end.get(name, np.nan) for name in values] for column, end in ends.items()}
    )


def joined(frames: list[pd.DataFrame]) -> pd.DataFrame:
    """The frames under METRICS as one; empty where there is none."""
    return pd.concat(frames, ignore_index=True) if frames else METRICS.empty()
