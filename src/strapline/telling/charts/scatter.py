"""Device against reference, a panel a device, with the line on which both agree."""

import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.settings import Tolerance
from strapline.ground.words import listed, plain
from strapline.telling.charts import cells, theme
from strapline.telling.charts.chart import OF_EACH_DEVICE, Chart
from strapline.telling.charts.marks import Part, mark, up_to
from strapline.telling.charts.sheet import CLOCKS, Sheet, whole
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

_SIDE = 30


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """Each device's heart rate against the reference's in the same second.

    A dot stands for all seconds that fall within a cell, 2 bpm by 2 bpm or, where those are many,
    larger; the band is the tolerance around the line on which both agree.
    """
    shown, tolerance = tables.compared, tables.tolerance
    if not shown:
        return sheet.saying()
    reference = tables.intake.reference
    strap = plain(reference.label) if reference else "Reference"
    on = sheet.explained(
        f"Device, upwards, against {strap}, bpm; {CLOCKS}. On the line both agree. "
        f"Band: {tolerance.beats:g} bpm or {tolerance.percent:g} %."
    )
    counted = {r.recording: dots(tables.seconds, r.recording) for r in shown}
    every = pd.concat([table for table, _ in counted.values()])
    both = pd.DataFrame({"bpm": [*every["reference"], *every["device"]]})
    panels = cells.frame(on, len(shown), _SIDE, both, both)
    styles = on.styles(r.device for r in shown)
    most = int(every["seconds"].max())
    behind = _behind(panels, tolerance)
    drawn = []
    for r in shown:
        channels = {"x": panels.x("reference", f"{strap}, bpm"), "y": panels.y("device")}
        size, colour = counted[r.recording][1], styles[r.device].colour
        seconds = cells.dots(r.recording, size, most, channels, panels, colour)
        drawn.append(cells.headed([*behind, seconds], r.label, panels, _SIDE))
    return on.finished(
        cells.arranged(on, drawn, _SIDE),
        between=30,
        bounds="full",
        datasets={name: table.to_dict("records") for name, (table, _) in counted.items()},
    )


def alt(tables: SessionTables) -> str:
    """One sentence with each device's share of the time within the wider tolerance."""
    if not tables.compared:
        return NOTHING
    parts = [_spoken(recording, tables.metrics) for recording in tables.compared]
    tolerance = tables.tolerance
    return (
        f"Time within {tolerance.beats:g} bpm or {tolerance.percent:g} % of the strap, "
        f"whichever is wider: {listed(parts)}."
    )


def dots(aligned: pd.DataFrame, recording: str) -> tuple[pd.DataFrame, int]:
    """Compared seconds counted in cells: reference, device, seconds; and a cell's width in bpm."""
    points = cells.compared_points(aligned, recording, lambda d, r: {"reference": r, "device": d})
    return cells.cells(points)


def _spoken(recording: RecordingIntake, metrics: pd.DataFrame) -> str:
    share = whole(metrics, recording.recording, "within_either")
    return f"{plain(recording.label)} {share:.1f} %"


def _behind(panels: cells.Frame, tolerance: Tolerance) -> list[Part]:
    """The band of the tolerance and, on it, the line on which both agree."""
    low, high = panels.across
    bend = 100 * tolerance.beats / tolerance.percent
    rows = []
    for reference in sorted({low, high, min(max(bend, low), high)}):
        allowed = max(tolerance.beats, reference * tolerance.percent / 100)
        ends = {"above": reference + allowed, "below": reference - allowed}
        rows.append({"reference": reference, "device": reference, **ends})
    x, clip = panels.x("reference", None), {"clip": True}
    band = {"x": x, "y": panels.y("above"), "y2": up_to("below")}
    line = {"x": x, "y": panels.y("device")}
    return [
        mark("area", rows, band, color=theme.BAND, **clip),
        mark("line", rows, line, stroke=theme.REFERENCE, strokeWidth=2.5, **clip),
    ]


SCATTER = Chart(
    name="scatter",
    about="session",
    section="more",
    needs=("aligned", "metrics"),
    question="Does the device read what the strap reads?",
    finding=OF_EACH_DEVICE,
    alt=alt,
    draw=draw,
)
