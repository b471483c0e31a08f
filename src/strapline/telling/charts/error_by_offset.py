"""Does a finding hang on the clocks? The error of each device at every offset of its clock."""

from dataclasses import dataclass

import pandas as pd

from strapline.ground.words import listed, number, plain
from strapline.telling.charts import curves, line_ends, theme
from strapline.telling.charts.chart import OF_EACH_DEVICE, Chart
from strapline.telling.charts.marks import Part, mark, quantity
from strapline.telling.charts.sheet import Sheet
from strapline.telling.charts.specification import Specification
from strapline.telling.session_tables import SessionTables

NOTHING = "No device of this session could be compared at any offset of its clock."
_REACH = 60


@dataclass(frozen=True)
class Curve:
    """One device's errors (offset_s, mae), and the offset in use."""

    device: str
    label: str
    errors: pd.DataFrame
    used_s: float

    @property
    def used(self) -> tuple[float, float]:
        """Offset in use and the error there, at the nearest whole offset."""
        nearest = (self.errors["offset_s"] - self.used_s).abs().argmin()
        return self.used_s, float(self.errors["mae"].iloc[nearest])

    @property
    def least(self) -> tuple[float, float]:
        """Offset and error where the error is least."""
        best = self.errors["mae"].argmin()
        return float(self.errors["offset_s"].iloc[best]), float(self.errors["mae"].iloc[best])


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """A line a device: its mean absolute error (OFFSETS) against the offset of its clock.

    A dot marks the offset in use; the upright line is the clock as recorded.
    """
    shown = by_offset(tables)
    if not shown:
        return sheet.saying()
    on = sheet.explained(
        "The session with each device’s clock shifted. Upright line: as recorded. "
        "Large mark: the shift in use."
    )
    highest = max(float(curve.errors["mae"].max()) for curve in shown)
    plot = curves.Plot(on, (-_REACH, _REACH), (0, highest), [curve.label for curve in shown])
    ticks = list(range(-_REACH, _REACH + 1, 15 if plot.width > 900 else 30))
    axis = {"title": "Seconds added to the device’s clock", "values": ticks, "grid": False}
    x, y = quantity("offset_s", plot.across, axis), plot.y("mae")
    styles = on.styles(curve.device for curve in shown)
    drawn: list[Part] = [
        mark("rule", [{"offset_s": 0}], {"x": x}, color=theme.INK, strokeWidth=2.5)
    ]
    for index, curve in enumerate(shown):
        drawn.append(curves.line(f"curve_{index}", {"x": x, "y": y}, styles[curve.device]))
    used = [
        {"offset_s": offset, "mae": round(error, 2), **styles[curve.device].of_row}
        for curve in shown
        for offset, error in [curve.used]
    ]
    drawn.append(line_ends.shapes(used, {"x": x, "y": y}))
    ends = [(styles[curve.device], float(curve.errors["mae"].iloc[-1])) for curve in shown]
    return on.finished(
        [plot.finished(drawn, ends, "Mean absolute error, bpm")],
        between=30,
        bounds="full",
        datasets={
            f"curve_{index}": curve.errors.round(2).to_dict("records")
            for index, curve in enumerate(shown)
        },
    )


def by_offset(tables: SessionTables) -> list[Curve]:
    """The devices that could be compared at some offset, in the order of the card."""
    offsets = tables.offsets
    used = {c.recording: c.offset_s - c.gross_shift_s for c in tables.clocks.clocks}
    found = set(offsets["recording"].astype(str))
    return [
        Curve(
            recording.device,
            plain(recording.label),
            offsets.loc[offsets["recording"] == recording.recording, ["offset_s", "mae"]],
            used.get(recording.recording, 0.0),
        )
        for recording in tables.intake.tested
        if recording.recording in found
    ]


def alt(tables: SessionTables) -> str:
    """One sentence with each device's least error, and where it lies."""
    parts = [
        f"{curve.label} was off by at least {curve.least[1]:.1f} bpm (shifted by "
        f"{number(curve.least[0], plus=True)} s)"
        for curve in by_offset(tables)
    ]
    return f"At any shift of up to 60 s, {listed(parts)}." if parts else NOTHING


ERROR_BY_OFFSET = Chart(
    name="error-by-offset",
    about="session",
    section="clocks",
    needs=("clocks", "offsets"),
    question="Does the error depend on the clocks?",
    finding=OF_EACH_DEVICE,
    alt=alt,
    draw=draw,
)
