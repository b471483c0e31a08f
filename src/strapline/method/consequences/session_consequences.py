"""What a session's heart rates would have meant, by reference and by device: a table."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from strapline.ground.tables.sessions import CONSEQUENCES
from strapline.method.agreement.effort import session_maximum
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.consequences.needs import RECOVERY, wanting
from strapline.method.consequences.recovery import recovery
from strapline.method.consequences.sums import Seconds, sums
from strapline.method.episodes.peaks import Peak, peaks
from strapline.method.episodes.view import view_of
from strapline.method.metrics.view import views

if TYPE_CHECKING:
    import pandas as pd

    from strapline.ground.records.card import Body
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.records.ledger import MaximumHeartRate
    from strapline.ground.settings import Alarm, Effort, Intervals
    from strapline.method.episodes.view import View

PEAK, PEAK_DELAY = "peak", "peak_delay"
FEWEST_PEAKS = 3
Row = dict[str, Any]


def session_consequences(
    aligned: pd.DataFrame,
    intake: SessionIntake,
    effort: Effort,
    alarm: Alarm,
    intervals: Intervals,
) -> pd.DataFrame:
    """A frame under CONSEQUENCES from one under ALIGNED; empty where nothing was compared."""
    maximum = session_maximum(aligned, intake.body, effort)
    if maximum is None:
        return CONSEQUENCES.empty()
    rows: list[Row] = []
    for part in views(aligned, intake):
        view = view_of(part.rows)
        if view.compared.any():
            # Not by the view: where two are the same seconds, their intervals are the same.
            seed = f"{part.names['session']} {part.names['recording']}"
            found = peaks(view)
            told = [
                *_sums(view, maximum, intake.body, alarm, intervals, seed),
                *_peaks(found),
                *([] if RECOVERY in wanting(intake.body) else _recovery(view, found, maximum)),
            ]
            rows += [part.names | row for row in told]
    return CONSEQUENCES.from_rows(rows)


def _sums(
    view: View,
    maximum: MaximumHeartRate,
    body: Body,
    alarm: Alarm,
    intervals: Intervals,
    seed: str,
) -> Iterator[Row]:
    seconds = Seconds(
        np.where(view.compared, view.reference_bpm, np.nan),
        np.where(view.compared, view.device_bpm, np.nan),
    )
    # Alarms are set in whole beats.
    for part in sums(seconds, maximum, body, round(maximum.bpm * alarm.percent / 100)):
        reference, device = part.totals
        yield _row(
            part.quantity,
            part.unit,
            device - reference,
            seconds.count,
            part.interval(intervals, seed),
            reference_value=reference,
            device_value=device,
            from_bpm=part.from_bpm,
        )


def _peaks(found: Sequence[Peak]) -> Iterator[Row]:
    """Each peak's height and how late it came, then the mean of each over the peaks."""
    for peak in found:
        yield _row(
            PEAK,
            "bpm",
            peak.device_bpm - peak.reference_bpm,
            reference_value=peak.reference_bpm,
            device_value=peak.device_bpm,
            at_s=peak.second,
        )
    for peak in found:
        if peak.late_s is not None:
            yield _row(PEAK_DELAY, "s", peak.late_s, at_s=peak.second)
    heights = [peak.device_bpm - peak.reference_bpm for peak in found]
    delays = [peak.late_s for peak in found if peak.late_s is not None]
    if heights:
        yield _row(
            PEAK,
            "bpm",
            float(np.mean(heights)),
            len(heights),
            _over(heights),
            reference_value=float(np.mean([peak.reference_bpm for peak in found])),
            device_value=float(np.mean([peak.device_bpm for peak in found])),
        )
    if delays:
        yield _row(PEAK_DELAY, "s", float(np.mean(delays)), len(delays), _over(delays))


def _recovery(view: View, found: Sequence[Peak], maximum: MaximumHeartRate) -> Iterator[Row]:
    fell = recovery(view, found, maximum.bpm)
    if fell is not None:
        yield _row(
            RECOVERY,
            "bpm",
            fell.device_bpm - fell.reference_bpm,
            reference_value=fell.reference_bpm,
            device_value=fell.device_bpm,
            at_s=fell.second,
        )


def _over(values: Sequence[float]) -> Interval:
    """Student's 95 % interval of the mean over peaks; none for fewer than three or equal ones."""
    spread = float(np.std(values, ddof=1)) if len(values) >= FEWEST_PEAKS else 0.0
    if spread == 0:
        return UNKNOWN
    half = t_quantile(len(values) - 1) * spread / math.sqrt(len(values))
    return around(float(np.mean(values)), half)


def _row(
    quantity: str,
    unit: str,
    difference: float,
    n: int = 1,
    interval: Interval = UNKNOWN,
    **more: float,
) -> Row:
    return {
        "quantity": quantity,
        "unit": unit,
        "difference": difference,
        "low": interval.low,
        "high": interval.high,
        "n": n,
        **more,
    }
