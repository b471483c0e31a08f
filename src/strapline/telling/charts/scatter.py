"""Device against reference, a panel a device, with the line on which both agree."""

from collections.abc import Sequence

import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.settings import Presentation, Tolerance
from strapline.ground.words import listed, plain
from strapline.telling.charts import cells, sheet, theme
from strapline.telling.charts.marks import Part, mark, up_to
from strapline.telling.charts.render import Chart
from strapline.telling.charts.sheet import Sheet
from strapline.telling.charts.traces import NOTHING, compared

_SIDE = 30


def scatter(
    aligned: pd.DataFrame,
    metrics: pd.DataFrame,
    intake: SessionIntake,
    tolerance: Tolerance,
    presentation: Presentation,
    bench: Sequence[str] = (),
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """Each device's heart rate against the reference's in the same second.

    A dot stands for all seconds that fall within a cell, 2 bpm by 2 bpm or, where those are many,
    larger; the band is the tolerance around the line on which both agree.
    """
    shown = compared(aligned, intake)
    title = sheet.headed(intake.activity, "Does the device read what the strap reads?")
    if not shown:
        return Sheet(frame, presentation, title).saying(NOTHING)
    view = str(aligned["alignment"].iloc[0])
    strap = plain(intake.reference.label) if intake.reference else "Reference"
    on = Sheet(
        frame,
        presentation,
        title,
        f"Device, upwards, against {strap}, bpm; {sheet.CLOCKS[view]}. On the line both agree. "
        f"Band: {tolerance.beats:g} bpm or {tolerance.percent:g} %.",
    )
    counted = {r.recording: dots(aligned, r.recording) for r in shown}
    every = pd.concat([table for table, _ in counted.values()])
    both = pd.DataFrame({"bpm": [*every["reference"], *every["device"]]})
    panels = cells.frame(on, len(shown), _SIDE, both, both)
    styles = theme.styles([r.device for r in shown], presentation, bench)
    most = int(every["seconds"].max())
    behind = _behind(panels, tolerance, presentation)
    drawn = []
    for r in shown:
        channels = {"x": panels.x("reference", f"{strap}, bpm"), "y": panels.y("device")}
        size, colour = counted[r.recording][1], styles[r.device].colour
        seconds = cells.dots(r.recording, size, most, channels, panels, colour)
        drawn.append(cells.headed([*behind, seconds], r.label, panels, _SIDE))
    return on.finished(
        cells.arranged(on, drawn, _SIDE),
        alt(aligned, metrics, intake, tolerance),
        between=30,
        bounds="full",
        datasets={name: table.to_dict("records") for name, (table, _) in counted.items()},
    )


def alt(
    aligned: pd.DataFrame, metrics: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance
) -> str:
    """One sentence with each device's share of the time within the wider tolerance."""
    shown = compared(aligned, intake)
    if not shown:
        return NOTHING
    view = str(aligned["alignment"].iloc[0])
    parts = [_spoken(r, metrics, view) for r in shown]
    return (
        f"Time within {tolerance.beats:g} bpm or {tolerance.percent:g} % of the strap, "
        f"whichever is wider: {listed(parts)}."
    )


def dots(aligned: pd.DataFrame, recording: str) -> tuple[pd.DataFrame, int]:
    """Compared seconds counted in cells: reference, device, seconds; and a cell's width in bpm."""
    points = cells.compared_points(aligned, recording, lambda d, r: {"reference": r, "device": d})
    return cells.cells(points)


def _spoken(recording: RecordingIntake, metrics: pd.DataFrame, view: str) -> str:
    share = sheet.whole(metrics, recording.recording, view, "within_either")
    return f"{plain(recording.label)} {share:.1f} %"


def _behind(panels: cells.Frame, tolerance: Tolerance, look: Presentation) -> list[Part]:
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
        mark("area", rows, band, color=look.band, **clip),
        mark("line", rows, line, stroke=look.reference, strokeWidth=2.5, **clip),
    ]
