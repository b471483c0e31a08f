"""How much of the time each device was off by no more than so many beats."""

import math
from collections.abc import Sequence

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.vocabulary import Status
from strapline.ground.words import listed, plain
from strapline.telling.charts import curves, line_ends, sheet, theme
from strapline.telling.charts.marks import Part, mark, quantity
from strapline.telling.charts.render import Chart
from strapline.telling.charts.sheet import Sheet
from strapline.telling.charts.traces import NOTHING, compared

# Errors beyond what 95 of 100 seconds of the worst device reach are not drawn.
_DRAWN = 95
_STEPS = 120


def cumulative(
    aligned: pd.DataFrame,
    metrics: pd.DataFrame,
    intake: SessionIntake,
    tolerance: Tolerance,
    presentation: Presentation,
    bench: Sequence[str] = (),
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """A line a device: the share of compared seconds with an absolute error up to each value.

    The upright line is the tolerance in beats; where it crosses stands `within_beats` of METRICS.
    """
    shown = compared(aligned, intake)
    title = sheet.headed(intake.activity, "How much of the time is it close?")
    if not shown:
        return Sheet(frame, presentation, title).saying(NOTHING)
    view = str(aligned["alignment"].iloc[0])
    on = Sheet(
        frame,
        presentation,
        title,
        "Share of the time that was off by no more than so many beats; "
        f"{sheet.CLOCKS[view]}. Upright line: {tolerance.beats:g} bpm.",
    )
    errors = {r.recording: sizes(aligned, r.recording) for r in shown}
    worst = max(float(np.percentile(found, _DRAWN)) for found in errors.values())
    end = 5 * math.ceil(max(worst, 2 * tolerance.beats) / 5)
    within = [sheet.whole(metrics, r.recording, view, "within_beats") for r in shown]
    notes = [f"{share:.0f} % within {tolerance.beats:g} bpm" for share in within]
    plot = curves.Plot(on, (0, end), (0, 100), [r.label for r in shown], notes)
    axis = {"title": "Off by no more than, bpm", "values": sheet.ticks(0, end, 8), "grid": False}
    place = {"x": quantity("error", plot.across, axis), "y": plot.y("share")}
    styles = theme.styles([r.device for r in shown], presentation, bench)
    upright = {"x": place["x"]}
    drawn: list[Part] = [
        mark("rule", [{"error": tolerance.beats}], upright, color=presentation.ink, strokeWidth=2.5)
    ]
    tables = {r.recording: shares(errors[r.recording], end) for r in shown}
    drawn += [curves.line(r.recording, place, styles[r.device]) for r in shown]
    met = [
        {"error": tolerance.beats, "share": round(share, 1), **curves.look(styles[r.device])}
        for r, share in zip(shown, within, strict=True)
        if math.isfinite(share)
    ]
    drawn.append(line_ends.shapes(met, place, presentation.paper))
    ends = [(styles[r.device], float(tables[r.recording]["share"].iloc[-1])) for r in shown]
    return on.finished(
        [plot.finished(drawn, ends, "Share of the time, %")],
        alt(aligned, metrics, intake, tolerance),
        between=30,
        bounds="full",
        datasets={name: table.round(2).to_dict("records") for name, table in tables.items()},
    )


def alt(
    aligned: pd.DataFrame, metrics: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance
) -> str:
    """One sentence with each device's share within the tolerance in beats, and its worst 5 %."""
    shown = compared(aligned, intake)
    if not shown:
        return NOTHING
    view = str(aligned["alignment"].iloc[0])
    parts = [_spoken(r, metrics, view, tolerance) for r in shown]
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


def _spoken(
    recording: RecordingIntake, metrics: pd.DataFrame, view: str, tolerance: Tolerance
) -> str:
    within = sheet.whole(metrics, recording.recording, view, "within_beats")
    worst = sheet.whole(metrics, recording.recording, view, "absolute_error_p95")
    return (
        f"{plain(recording.label)} within {tolerance.beats:g} bpm for {within:.1f} % of it, "
        f"and within {worst:.1f} bpm for 95 %"
    )
