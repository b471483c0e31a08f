"""Device against reference, a panel a device, with the line on which both agree."""

from collections.abc import Sequence

import pandas as pd

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.words import listed, plain
from strapline.telling.charts import cells
from strapline.telling.charts.chart import CLOCKS, Chart, of_few
from strapline.telling.charts.picture import Content
from strapline.telling.charts.seconds import tens
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """Each device's heart rate against the strap's in the same second.

    A dot stands for all seconds that fall within a cell, 2 bpm by 2 bpm or, where those are many,
    larger.
    """
    shown, tolerance = tables.compared, tables.tolerance
    if not shown:
        return None
    counted = {r.recording: dots(tables.seconds, r.recording)[0] for r in shown}
    low, high = tens(pd.concat(counted.values())[["reference", "device"]])
    subtitle = (
        f"Device, upwards, against strap, bpm; {CLOCKS}. Larger dot: more seconds. On the line "
        f"both agree. Band: {tolerance.beats:g} bpm or {tolerance.percent:g} %."
    )
    values = {"low": low, "high": high, "beats": tolerance.beats, "percent": tolerance.percent}
    return cells.dotted(subtitle, shown, bench, counted, values)


def finding(tables: SessionTables) -> str:
    """'Lantern watch within 5 bpm or 10 % for 98 % of the time; ...'."""
    shares = [(plain(r.label), tables.whole(r.recording, "within_either")) for r in tables.compared]
    close = f"within {tables.tolerance.beats:g} bpm or {tables.tolerance.percent:g} % for"
    return of_few([f"{name} {close} {share:.0f} % of the time" for name, share in shares])


def alt(tables: SessionTables) -> str:
    """One sentence with each device's share of the time within the wider tolerance."""
    if not tables.compared:
        return NOTHING
    parts = [_spoken(recording, tables) for recording in tables.compared]
    tolerance = tables.tolerance
    return (
        f"Time within {tolerance.beats:g} bpm or {tolerance.percent:g} % of the strap, "
        f"whichever is wider: {listed(parts)}."
    )


def dots(aligned: pd.DataFrame, recording: str) -> tuple[pd.DataFrame, int]:
    """Compared seconds counted in cells: reference, device, seconds; and a cell's width in bpm."""
    points = cells.compared_points(aligned, recording, lambda d, r: {"reference": r, "device": d})
    return cells.cells(points)


def _spoken(recording: RecordingIntake, tables: SessionTables) -> str:
    share = tables.whole(recording.recording, "within_either")
    return f"{plain(recording.label)} {share:.1f} %"


SCATTER = Chart(
    name="scatter",
    about="session",
    section="more",
    needs=("aligned", "metrics"),
    question="Does the device read what the strap reads?",
    finding=finding,
    alt=alt,
    content=content,
)
