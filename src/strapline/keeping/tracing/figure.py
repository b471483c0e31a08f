"""One published figure beside what it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.files import UnfitResult
from strapline.ground.records.intake import RecordingIntake
from strapline.ground.settings import Settings
from strapline.ground.versions import Mixed, mixed
from strapline.ground.vocabulary import Scope
from strapline.keeping.receipts import Receipt
from strapline.keeping.tracing.kept import KeptSession
from strapline.keeping.tracing.recompute import equal
from strapline.keeping.tracing.samples import Recording
from strapline.keeping.tracing.seconds import Seconds, Within
from strapline.method.metrics import registry
from strapline.method.metrics.again import Near
from strapline.method.metrics.metric import Metric


@dataclass(frozen=True)
class Side:
    """What one side's heart rate in one second is made of."""

    entry: RecordingIntake
    values: pd.DataFrame
    samples: pd.DataFrame


@dataclass(frozen=True)
class Second:
    """A row of the aligned table that enters the figure, and `special`, why it is shown."""

    row: int
    time: pd.Timestamp
    reference: float
    device: float
    special: str
    sides: tuple[Side, Side]


@dataclass(frozen=True)
class TracedFigure:
    """`published` is the row of METRICS; `again` None where no short path gives the figure."""

    kept: KeptSession
    entry: RecordingIntake
    published: dict[str, Any]
    metric: Metric
    near: Near
    settings: dict[str, dict[str, dict[str, Any]]]
    versions: Mixed
    in_scope: int
    entering: int
    seconds: tuple[Second, ...]
    again: float | None

    @property
    def holds(self) -> bool:
        """Whether the figure came out as published, or has no short path."""
        return self.again is None or equal(self.published["value"], self.again)


def traced(kept: KeptSession, published: dict[str, Any], first_rows: int) -> TracedFigure:
    """Trace one row of the session's METRICS; shows its first rows and those that decide."""
    recording, alignment = published["recording"], published["alignment"]
    scope, key = published["scope"], published["metric"]
    metric = registry.found(key)
    if metric is None:
        raise UnfitResult(kept.folder / "metrics.parquet", f"no figure is called {key}")
    entry = kept.entry(recording)
    receipts = kept.receipts(entry)
    settings = {stage: receipt.settings for stage, receipt in receipts.items()}
    tolerance = settings["measure"]["tolerance"]
    near = Near(tolerance["beats"], tolerance["percent"])
    views = kept.views(alignment)
    if recording not in views:
        raise UnfitResult(kept.folder / "aligned.parquet", f"nothing of {recording}")
    rows, seconds = views[recording], Seconds.of(views[recording])
    within = Within(
        kept.intake.segments,
        kept.maximum_bpm,
        {name: Seconds.of(other) for name, other in views.items()},
    )
    inside = seconds.in_scope(scope, within)
    if inside is not None:
        rows = rows[inside]
    used = Seconds.of(rows).used(scope) if len(rows) else np.zeros(0, dtype=bool)
    return TracedFigure(
        kept=kept,
        entry=entry,
        published=published,
        metric=metric,
        near=near,
        settings=settings,
        versions=mixed(receipt.versions for receipt in receipts.values()),
        in_scope=len(rows),
        entering=int(used.sum()),
        seconds=_shown(
            kept, entry, published, metric, rows[used], receipts["normalise"], first_rows
        ),
        again=seconds.figures(scope, [key], near, within).get(key),
    )


def _shown(
    kept: KeptSession,
    entry: RecordingIntake,
    published: dict[str, Any],
    metric: Metric,
    rows: pd.DataFrame,
    normalised: Receipt,
    first_rows: int,
) -> tuple[Second, ...]:
    reference = kept.intake.reference
    if reference is None or rows.empty:
        return ()
    sides = (
        kept.recording(reference, None),
        kept.recording(entry, kept.clock(entry.recording).in_view(published["alignment"])),
    )
    shown = dict.fromkeys(range(min(first_rows, len(rows))), "")
    # An epoch is no row.
    if metric.deciding is not None and not published["scope"].startswith(Scope.EPOCH):
        pairs = rows["reference_bpm"].to_numpy(), rows["device_bpm"].to_numpy()
        shown |= dict.fromkeys(metric.deciding.places(*pairs), metric.deciding.words)
    by = Settings.model_validate(normalised.settings)
    return tuple(_second(rows.iloc[place], special, sides, by) for place, special in shown.items())


def _second(
    row: pd.Series[Any],
    special: str,
    recordings: tuple[Recording, Recording],
    settings: Settings,
) -> Second:
    found, second = [], row["time"].timestamp()
    slower = max(recordings, key=lambda each: each.spacing.usual_s)
    until_s = None if slower.spacing.by_line else slower.next_report_s(second)
    for recording in recordings:
        values = (
            recording.values_for(second)
            if until_s is None
            else recording.values_within(until_s, row["stands_for_s"])
        )
        samples = recording.samples_for(values, settings.plausibility, settings.rr_intervals)
        found.append(Side(recording.entry, values, samples))
    return Second(
        int(str(row.name)),
        row["time"],
        row["reference_bpm"],
        row["device_bpm"],
        special,
        (found[0], found[1]),
    )
