"""A figure that an app states, beside the values that it is held against."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.records.card import FILE_NAME
from strapline.ground.settings import Settings
from strapline.ground.tables.recordings import by_recording
from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import exact, lasting, number, plain
from strapline.keeping.tracing.figure import Side
from strapline.keeping.tracing.kept import KeptSession
from strapline.keeping.tracing.recompute import equal, outcome
from strapline.keeping.tracing.samples import Recording
from strapline.keeping.tracing.wording import WIDTH, item, made_of, raw_file, settings_told
from strapline.method.signal.trace import Trace
from strapline.method.stated.session_stated import believed_strap, session_stated

_FORMULA: dict[str, str] = {
    StatedFigure.AVERAGE: "the mean of the values, each for the time it stands for,",
    StatedFigure.MAXIMUM: "the highest value",
    StatedFigure.MINIMUM: "the lowest value",
    StatedFigure.DURATION: "from the first value to the last, with gaps,",
}
# What sums of times may be off by.
_ROUNDED_S = 1e-6


@dataclass(frozen=True)
class TracedStated:
    """`published` is the row of STATED, `side` what it is held against, with the values of the time
    stated, and `again` what was measured, computed once more; NaN where it is not any more."""

    kept: KeptSession
    published: dict[str, Any]
    side: Side
    settings: dict[str, dict[str, dict[str, Any]]]
    again: float

    @property
    def holds(self) -> bool:
        return equal(self.published["measured"], self.again)


def traced_stated(kept: KeptSession, published: dict[str, Any]) -> TracedStated:
    """Trace one row of the session's STATED."""
    has_export = published["against"] == HeldAgainst.EXPORT
    entry = kept.entry(published["recording"]) if has_export else kept.intake.reference
    assert entry is not None, "a figure is held against a recording"
    settings = {stage: receipt.settings for stage, receipt in kept.receipts(entry).items()}
    of_measure, of_normalise = (
        Settings.model_validate(settings[stage]) for stage in ("measure", "normalise")
    )
    rates = by_recording(kept.folder / "recordings.parquet")
    longest_gap_s = of_measure.grid.longest_gap_s
    strap = believed_strap(kept.intake, rates, longest_gap_s, of_measure.reference)
    values = _values(
        kept.recording(entry, None),
        Trace.of(rates[entry.recording]) if has_export else strap,
        published,
    )
    samples = kept.recording(entry, None).samples_for(
        values, of_normalise.plausibility, of_normalise.rr_intervals
    )
    anew = session_stated(kept.intake, rates, strap)
    is_own = (anew["recording"] == published["recording"]) & (anew["figure"] == published["figure"])
    again = float(anew.loc[is_own, "measured"].max())
    return TracedStated(kept, published, Side(entry, values, samples), settings, again)


def _values(recording: Recording, trace: Trace, published: dict[str, Any]) -> pd.DataFrame:
    """What the measured figure is of; of a highest or lowest value the first."""
    if published["figure"] == StatedFigure.DURATION:
        return recording.kept
    began = published["began"]
    first = 0 if pd.isna(began) else int(np.searchsorted(trace.time_s, began.timestamp()))
    covered = np.cumsum(trace.stands_for_s[first:])
    last = first + int(np.searchsorted(covered, published["over_s"] - _ROUNDED_S))
    within = recording.kept[recording.kept["placed_s"].isin(trace.time_s[first : last + 1])]
    if published["figure"] == StatedFigure.AVERAGE:
        return within
    decides: pd.DataFrame = within[within["heart_rate_bpm"] == published["measured"]].head(1)
    return decides


def lines_of_stated(figure: TracedStated) -> Iterator[str]:
    """The whole account, line by line."""
    row, unit = figure.published, figure.published["unit"]
    yield from textwrap.wrap(plain(row["sentence"]), WIDTH)
    yield ""
    yield from item(
        "Stated",
        f"{exact(row['stated'])} {unit} ({row['figure']}): typed by the tester from the app’s "
        f"screen, under stated beside {row['device']} in {FILE_NAME}",
    )
    of = f" in {lasting(row['over_s'])}" if row["figure"] != StatedFigure.DURATION else ""
    yield from item(
        "Measured",
        f"{exact(row['measured'])} {unit}: {_FORMULA[row['figure']]}{of} of "
        f"{plain(figure.side.entry.label)}",
    )
    yield from item(
        "Apart",
        f"{number(row['difference'], plus=True, decimals=3)} {unit}, stated minus measured; less "
        f"than {number(row['rounding'])} {unit} is no difference",
    )
    for place, told in enumerate(settings_told(figure.settings)):
        yield from item("" if place else "Settings", told)
    yield ""
    yield from made_of(figure.side, "Measured")
    yield ""
    yield "Raw file, by SHA-256:"
    yield from raw_file(figure.kept, figure.side.entry)
    yield ""
    said = outcome(row["measured"], figure.again, "recordings.parquet", "stated.parquet")
    yield from textwrap.wrap(said, WIDTH)
