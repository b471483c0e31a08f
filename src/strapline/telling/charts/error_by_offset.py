"""Does a finding hang on the clocks? The error of each device at every offset of its clock."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.intake import SessionIntake
from strapline.ground.settings import Presentation
from strapline.ground.words import listed, number, plain
from strapline.telling.charts import curves, line_ends, sheet, theme
from strapline.telling.charts.marks import Part, mark, quantity
from strapline.telling.charts.render import Chart
from strapline.telling.charts.sheet import Sheet

NOTHING = "No device of this session could be compared at any offset of its clock."
_REACH = 60


@dataclass(frozen=True)
class Curve:
    """One device's errors (offset_s, mae), the offset in use, and how it looks."""

    label: str
    errors: pd.DataFrame
    used_s: float
    style: theme.Style

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


def error_by_offset(
    offsets: pd.DataFrame,
    alignment: SessionAlignment,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
    frame: theme.Frame = theme.WIDE,
) -> Chart:
    """A line a device: its mean absolute error (OFFSETS) against the offset of its clock.

    A dot marks the offset of the aligned view; the upright line is the clocks as recorded.
    """
    title = sheet.headed(intake.activity, "Does the error depend on the clocks?")
    subtitle = "The session with each device’s clock shifted. Upright line: as recorded. "
    on = Sheet(frame, presentation, title, f"{subtitle}Large mark: the shift in use.")
    shown = by_offset(offsets, alignment, intake, presentation, bench)
    if not shown:
        return Sheet(frame, presentation, title).saying(NOTHING)
    highest = max(float(curve.errors["mae"].max()) for curve in shown)
    plot = curves.Plot(on, (-_REACH, _REACH), (0, highest), [curve.label for curve in shown])
    ticks = list(range(-_REACH, _REACH + 1, 15 if plot.width > 900 else 30))
    axis = {"title": "Seconds added to the device’s clock", "values": ticks, "grid": False}
    x, y = quantity("offset_s", plot.across, axis), plot.y("mae")
    drawn: list[Part] = [
        mark("rule", [{"offset_s": 0}], {"x": x}, color=presentation.ink, strokeWidth=2.5)
    ]
    for index, curve in enumerate(shown):
        drawn.append(curves.line(f"curve_{index}", {"x": x, "y": y}, curve.style))
    used = [
        {"offset_s": offset, "mae": round(error, 2), **curves.look(curve.style)}
        for curve in shown
        for offset, error in [curve.used]
    ]
    drawn.append(line_ends.shapes(used, {"x": x, "y": y}, presentation.paper))
    ends = [(curve.style, float(curve.errors["mae"].iloc[-1])) for curve in shown]
    return on.finished(
        [plot.finished(drawn, ends, "Mean absolute error, bpm")],
        alt(shown),
        between=30,
        bounds="full",
        datasets={
            f"curve_{index}": curve.errors.round(2).to_dict("records")
            for index, curve in enumerate(shown)
        },
    )


def by_offset(
    offsets: pd.DataFrame,
    alignment: SessionAlignment,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
) -> list[Curve]:
    """The devices that could be compared at some offset, in the order of the card."""
    used = {c.recording: c.offset_s - c.gross_shift_s for c in alignment.clocks}
    found = set(offsets["recording"].astype(str))
    shown = [recording for recording in intake.tested if recording.recording in found]
    styles = theme.styles([recording.device for recording in shown], presentation, bench)
    return [
        Curve(
            plain(recording.label),
            offsets.loc[offsets["recording"] == recording.recording, ["offset_s", "mae"]],
            used.get(recording.recording, 0.0),
            styles[recording.device],
        )
        for recording in shown
    ]


def alt(shown: Sequence[Curve]) -> str:
    """One sentence with each device's least error, and where it lies."""
    parts = [
        f"{curve.label} was off by at least {curve.least[1]:.1f} bpm (shifted by "
        f"{number(curve.least[0], plus=True)} s)"
        for curve in shown
    ]
    return f"At any shift of up to 60 s, {listed(parts)}." if parts else NOTHING
