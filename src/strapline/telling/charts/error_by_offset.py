"""Does a finding hang on the clocks? The error of each device at every offset of its clock."""

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.words import listed, number, plain
from strapline.telling.charts.chart import Chart, of_few
from strapline.telling.charts.curves import Curve, curves
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.session_tables import SessionTables

NOTHING = "No device of this session could be compared at any offset of its clock."
_REACH = 60


@dataclass(frozen=True)
class ByOffset:
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


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """A line a device: its mean absolute error (OFFSETS) against the offset of its clock, and a
    point at the offset in use."""
    shown = by_offset(tables)
    if not shown:
        return None
    highest = max(float(one.errors["mae"].max()) for one in shown)
    place = places([one.device for one in shown], bench)
    found = [Curve(place[one.device], one.label, one.errors, points=[one.used]) for one in shown]
    subtitle = (
        "Mean absolute error, bpm, with each device’s clock shifted. Upright line: as recorded. "
        "Point: the shift in use."
    )
    return curves(subtitle, found, (-_REACH, _REACH), (0, highest))


def by_offset(tables: SessionTables) -> list[ByOffset]:
    """The devices that could be compared at some offset, in the order of the card."""
    offsets = tables.offsets
    used = {c.recording: c.offset_s - c.gross_shift_s for c in tables.clocks.clocks}
    found = set(offsets["recording"].astype(str))
    return [
        ByOffset(
            recording.device,
            plain(recording.label),
            offsets.loc[offsets["recording"] == recording.recording, ["offset_s", "mae"]],
            used.get(recording.recording, 0.0),
        )
        for recording in tables.intake.tested
        if recording.recording in found
    ]


def finding(tables: SessionTables) -> str:
    """'Lantern watch off by 2.2 bpm if shifted by −10 s; ...'."""
    told = [
        f"{curve.label} off by {curve.least[1]:.1f} bpm if shifted by "
        f"{number(curve.least[0], plus=True, decimals=0)} s"
        for curve in by_offset(tables)
    ]
    return of_few(told)


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
    finding=finding,
    alt=alt,
    content=content,
)
