"""Every figure of one device over the seconds of one scope, with its interval."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.method.agreement.bootstrap import metric_intervals
from strapline.method.agreement.dependence import effective_size
from strapline.method.agreement.interval import UNKNOWN, Interval
from strapline.method.agreement.metrics import UNITS, agreement_metrics
from strapline.method.agreement.proportional_bias import difference_on_mean

if TYPE_CHECKING:
    from strapline.ground.settings import Intervals, Tolerance

EFFECTIVE_N = "effective_n"
PROPORTIONAL_SLOPE = "proportional_slope"


@dataclass(frozen=True)
class ScopeFigure:
    metric: str
    value: float
    interval: Interval
    unit: str


@dataclass(frozen=True)
class Pairs:
    """One place a pair that could be compared, shape (n,), bpm; NaN where it was not."""

    reference: np.ndarray
    device: np.ndarray

    @classmethod
    def of(cls, rows: pd.DataFrame) -> Pairs:
        """From rows under ALIGNED. Where the device reports once a minute, a minute without a
        report is one pair missed."""
        compared = (rows["status"] == Status.COMPARED).to_numpy()
        missed = (rows["status"] == Status.NO_DEVICE).to_numpy()
        interval_s = round(rows["stands_for_s"].max()) if compared.any() else 1
        # Every interval-th of the seconds missed.
        counted = compared | (missed & (np.cumsum(missed) % max(interval_s, 1) == 0))
        reference, device = rows["reference_bpm"].to_numpy(), rows["device_bpm"].to_numpy()
        return cls(
            np.where(compared, reference, np.nan)[counted],
            np.where(compared, device, np.nan)[counted],
        )

    @property
    def compared(self) -> np.ndarray:
        compared: np.ndarray = ~np.isnan(self.device)
        return compared


def scope_figures(
    pairs: Pairs, tolerance: Tolerance, intervals: Intervals, name: str
) -> list[ScopeFigure]:
    """The figures of UNITS and the effective number of independent pairs.

    No figure has an interval where that number is below `intervals.fewest_independent`. `name`
    is what the random numbers depend on.
    """
    reference, device = pairs.reference[pairs.compared], pairs.device[pairs.compared]
    values = agreement_metrics(reference, device, pairs.device.size, tolerance)
    effective = _effective_size(pairs.device - pairs.reference)
    ends = dict.fromkeys(UNITS, UNKNOWN)
    if effective >= intervals.fewest_independent:
        ends = metric_intervals(
            pairs.reference, pairs.device, tolerance, name, intervals.replicates
        )
    return [
        *(
            ScopeFigure(metric, value, ends[metric], UNITS[metric])
            for metric, value in values.items()
        ),
        ScopeFigure(EFFECTIVE_N, effective, UNKNOWN, "1"),
    ]


def proportional_slope(pairs: Pairs, fewest_independent: float) -> ScopeFigure:
    """By how much the difference grows with each beat of the mean of both.

    Only for a whole session: to choose seconds by the reference, as a band of effort does,
    makes a slope by itself.
    """
    present = pairs.compared
    line = difference_on_mean(pairs.reference[present], pairs.device[present])
    mean = (pairs.reference + pairs.device) / 2
    residual = pairs.device - pairs.reference - line.intercept - line.slope * mean
    effective = _effective_size(residual)
    interval = UNKNOWN
    if effective >= fewest_independent:
        counted = difference_on_mean(pairs.reference[present], pairs.device[present], effective)
        interval = counted.slope_interval
    return ScopeFigure(PROPORTIONAL_SLOPE, line.slope, interval, "bpm/bpm")


def _effective_size(series: np.ndarray) -> float:
    return effective_size(series) if np.count_nonzero(~np.isnan(series)) > 2 else math.nan
