"""How much of the time each device was off by no more than so many beats."""

import math

import numpy as np
import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.vocabulary import Status
from strapline.ground.words import listed, plain
from strapline.telling.charts import curves, line_ends, theme
from strapline.telling.charts.chart import OF_EACH_DEVICE, Chart
from strapline.telling.charts.marks import Part, mark, quantity
from strapline.telling.charts.sheet import CLOCKS, Sheet, ticks, whole
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

# Errors beyond what 95 of 100 seconds of the worst device reach are not drawn.
_DRAWN = 95
_STEPS = 120


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """A line a device: the share of compared seconds with an absolute error up to each value.

    The upright line is the tolerance in beats; where it crosses stands `within_beats` of METRICS.
    """
    shown, beats = tables.compared, tables.tolerance.beats
    if not shown:
        return sheet.saying()
    on = sheet.explained(
        "Share of the time that was off by no more than so many beats; "
        f"{CLOCKS}. Upright line: {beats:g} bpm."
    )
    errors = {r.recording: sizes(tables.seconds, r.recording) for r in shown}
    worst = max(float(np.percentile(found, _DRAWN)) for found in errors.values())
    end = 5 * math.ceil(max(worst, 2 * beats) / 5)
    within = [whole(tables.metrics, r.recording, "within_beats") for r in shown]
    notes = [f"{share:.0f} % within {beats:g} bpm" for share in within]
    plot = curves.Plot(on, (0, end), (0, 100), [r.label for r in shown], notes)
    axis = {"title": "Off by no more than, bpm", "values": ticks(0, end, 8), "grid": False}
    place = {"x": quantity("error", plot.across, axis), "y": plot.y("share")}
    styles = on.styles(r.device for r in shown)
    upright = {"x": place["x"]}
    drawn: list[Part] = [
        mark("rule", [{"error": beats}], upright, color=theme.INK, strokeWidth=2.5)
    ]
    drawn += [curves.line(r.recording, place, styles[r.device]) for r in shown]
    met = [
        {"error": beats, "share": round(share, 1), **styles[r.device].of_row}
        for r, share in zip(shown, within, strict=True)
        if math.isfinite(share)
    ]
    drawn.append(line_ends.shapes(met, place))
    found = {r.recording: shares(errors[r.recording], end) for r in shown}
    ends = [(styles[r.device], float(found[r.recording]["share"].iloc[-1])) for r in shown]
    return on.finished(
        [plot.finished(drawn, ends, "Share of the time, %")],
        between=30,
        bounds="full",
        datasets={name: table.round(2).to_dict("records") for name, table in found.items()},
    )


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
    within = whole(tables.metrics, recording.recording, "within_beats")
    worst = whole(tables.metrics, recording.recording, "absolute_error_p95")
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
    finding=OF_EACH_DEVICE,
    alt=alt,
    draw=draw,
)
