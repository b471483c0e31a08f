"""How much of the time each device was off by no more than so many beats."""

import math
from collections.abc import Sequence

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import listed, plain
from strapline.telling.charts.chart import CLOCKS, Chart, of_few
from strapline.telling.charts.curves import Curve, curves
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

# Errors beyond what 95 of 100 seconds of the worst device reach are not drawn.
_DRAWN = 95
_STEPS = 120


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """A line a device: the share of compared seconds with an absolute error up to each value.

    A point on each, at the tolerance in beats: `within_beats` of METRICS.
    """
    shown, beats = tables.compared, tables.tolerance.beats
    if not shown:
        return None
    errors = {r.recording: sizes(tables.seconds, r.recording) for r in shown}
    worst = max(float(np.percentile(found, _DRAWN)) for found in errors.values())
    end = 5 * math.ceil(max(worst, 2 * beats) / 5)
    place = places([r.device for r in shown], bench)
    found = []
    for r in shown:
        within = tables.whole(r.recording, "within_beats")
        known = math.isfinite(within)
        points = [(beats, within)] if known else []
        note = f"{within:.0f} %" if known else ""
        found.append(
            Curve(place[r.device], r.label, shares(errors[r.recording], end), note, points)
        )
    subtitle = (
        "Share of the time that was off by no more than so many beats; "
        f"{CLOCKS}. Upright line, and the figure at each name: {beats:g} bpm."
    )
    return curves(subtitle, found, (0, end), (0, 100), {"beats": beats})


def finding(tables: SessionTables) -> str:
    """'Lantern watch within 5 bpm for 69 % of the time; ...'."""
    shares = [(plain(r.label), tables.whole(r.recording, "within_beats")) for r in tables.compared]
    close = f"within {tables.tolerance.beats:g} bpm for"
    return of_few([f"{name} {close} {share:.0f} % of the time" for name, share in shares])


def alt(tables: SessionTables) -> str:
    """One sentence with each device's share within the tolerance in beats, and its worst 5 %."""
    if not tables.compared:
        return NOTHING
    parts = [_spoken(recording, tables) for recording in tables.compared]
    return f"How much of the time each device was close: {listed(parts)}."


def sizes(aligned: pd.DataFrame, recording: str) -> np.ndarray:
    """Absolute errors of a recording's compared seconds, in bpm."""
    own = aligned[(aligned["recording"] == recording) & (aligned["status"] == Status.COMPARED)]
    found: np.ndarray = (own["device_bpm"] - own["reference_bpm"]).abs().to_numpy(float)
    return found


def shares(errors: np.ndarray, end: float) -> pd.DataFrame:
    """Percent of `errors` up to each of even steps from 0 to `end`: error, share."""
    steps = np.linspace(0, end, _STEPS + 1)
    below = np.searchsorted(np.sort(errors), steps, side="right")
    return pd.DataFrame({"error": steps, "share": 100 * below / errors.size})


def _spoken(recording: RecordingIntake, tables: SessionTables) -> str:
    within = tables.whole(recording.recording, "within_beats")
    worst = tables.whole(recording.recording, "absolute_error_p95")
    return (
        f"{plain(recording.label)} within {tables.tolerance.beats:g} bpm for {within:.1f} % of it, "
        f"and within {worst:.1f} bpm for 95 %"
    )


CUMULATIVE = Chart(
    name="cumulative",
    about="session",
    section="figures",
    needs=("aligned", "metrics"),
    question="How much of the time is it close?",
    finding=finding,
    alt=alt,
    content=content,
)
