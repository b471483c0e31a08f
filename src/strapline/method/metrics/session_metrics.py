"""Every figure of a session: each device, each scope, each view of the clocks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.method.agreement.effort import EFFORT_BANDS, effort_bands
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric import Given
from strapline.method.metrics.metric_rows import measured
from strapline.method.metrics.view import View, views

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
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
    clocks: Mapping[str, ClockDecision] = MappingProxyType({}),
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED; empty where nothing was aligned.

    `maximum` is what bands of effort go by, as `session_maximum` tells it. `clocks`: what was
    decided of each recording's clock, with how late it runs by that. A device that reports
    too seldom for a line has no figures of seconds in order.
    """
    found: list[dict[str, Any]] = []
    together = list(views(aligned, intake))
    for view in together:
        for scope, inside in _scopes(view, intake, maximum, effort):
            sides = Compared.of(view, inside, tolerance)
            where: list[Given] = ["every scope"]
            if scope == Scope.WHOLE:
                where.append("whole session")
            n = np.count_nonzero(view.compared & inside)
            found += _rows(view.names | {"scope": scope, "n": n}, sides, where, intervals)
    for view in together:
        if view.is_line:
            clock = clocks.get(view.names["recording"])
            in_view = clock and clock.in_view(view.names["alignment"])
            sides = Compared.in_order(view, tolerance, in_view)
            names = view.names | {"scope": Scope.WHOLE, "n": np.count_nonzero(view.compared)}
            found += _rows(names, sides, [IN_ORDER], intervals)
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


def _scopes(
    view: View, intake: SessionIntake, maximum: MaximumHeartRate | None, effort: Effort
) -> Iterator[tuple[str, np.ndarray]]:
    """All seconds, those of each segment and those of each band of effort, as masks by name.

    A band of effort with less than `effort.fewest_seconds` compared is left out.
    """
    yield Scope.WHOLE, np.ones(view.compared.shape, dtype=bool)
    time = view.rows["time"]
    elapsed = (time - time.iloc[0]).dt.total_seconds().to_numpy()
    for segment in intake.segments:
        inside = (elapsed >= segment.start) & (elapsed < segment.end)
        yield f"{Scope.SEGMENT}{segment.label}", inside
    if maximum is None:
        return
    bands = effort_bands(view.reference, maximum.bpm)
    for place, name in enumerate(EFFORT_BANDS):
        inside = bands == place
        if np.count_nonzero(view.compared & inside) >= effort.fewest_seconds:
            yield f"{Scope.INTENSITY}{name}", inside


def _rows(
    names: dict[str, Any], sides: Compared, where: Sequence[Given], intervals: Intervals
) -> list[dict[str, Any]]:
    # Not by the view: where two are the same seconds, their intervals are the same.
    seed = " ".join(str(names[key]) for key in ("session", "recording", "scope"))
    return [
        names | row for row in measured(registry.given(*where), Sampled(sides, intervals, seed))
    ]
