"""How late a device follows, and when it first locks on, as figures of a session."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope, Status
from strapline.method.agreement.metric_rows import View, metric_rows, views
from strapline.method.signal.response import LOCK_HOLD_S, first_lock, response

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Tolerance

UNITS = {"delay_rising": "s", "delay_falling": "s", "first_lock": "s"}


def timing(aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance) -> pd.DataFrame:
    """A frame under METRICS, scope 'whole': delay behind rising and falling heart rate, with
    intervals, and the time to first lock. A device that reports less often than every second
    that it is compared in has none of them."""
    return METRICS.from_rows(
        [row for view in views(aligned, intake) for row in _timing(view, tolerance)]
    )


def _timing(view: View, tolerance: Tolerance) -> list[dict[str, object]]:
    compared = view.rows["status"] == Status.COMPARED
    if not compared.any() or (view.rows.loc[compared, "stands_for_s"] > 1).any():
        return []
    comparable = compared | (view.rows["status"] == Status.NO_DEVICE)
    reference = view.rows["reference_bpm"].where(comparable).to_numpy()
    device = view.rows["device_bpm"].where(compared).to_numpy()
    found = response(reference, device)
    locked = first_lock(reference, device, LOCK_HOLD_S, tolerance.beats, tolerance.percent)
    delays = {"delay_rising": found.rising, "delay_falling": found.falling}
    told = {name: delay for name, delay in delays.items() if delay is not None}
    values = {name: delay.delay_s for name, delay in told.items()}
    return metric_rows(
        view,
        Scope.WHOLE,
        dict.fromkeys(UNITS, math.nan)
        | values
        | {"first_lock": math.nan if locked is None else float(locked)},
        UNITS,
        compared.sum(),
        {name: delay.low_s for name, delay in told.items()},
        {name: delay.high_s for name, delay in told.items()},
    )
