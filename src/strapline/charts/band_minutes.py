"""Minutes in each band of effort, by the reference and by each device."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import altair as vega
import pandas as pd

from strapline.agreement.effort import EFFORT_BANDS
from strapline.charts import sheet, theme
from strapline.charts.render import Chart
from strapline.charts.text import listed, plain, words
from strapline.charts.traces import NOTHING
from strapline.consequences.told import BAND, Told
from strapline.session.intake import SessionIntake
from strapline.settings import Presentation

_COLUMNS = 3
_NAMES = 330
_BETWEEN = 130
_ROW = 132
_BAR = 44
_HEIGHT = _ROW * len(EFFORT_BANDS)
_MIDDLES = [_ROW * (place + 0.5) for place in range(len(EFFORT_BANDS))]


@dataclass(frozen=True)
class Bar:
    """A band's minutes by the reference and by the device, and the bpm in which it lies."""

    band: str
    bpm: str
    reference: float
    device: float


@dataclass(frozen=True)
class _Frame:
    width: int
    longest: float
    look: Presentation

    @property
    def x(self) -> vega.X:
        axis = vega.Axis(title=None, format="d", tickCount=5, tickMinStep=1)
        return vega.X(
            "minutes:Q", scale=vega.Scale(domain=[0, self.longest], nice=False), axis=axis
        )


def band_minutes(
    consequences: pd.DataFrame,
    intake: SessionIntake,
    presentation: Presentation,
    bench: Sequence[str] = (),
) -> Chart:
    """A panel a device; in each band the upper bar is the reference, the lower the device.

    `consequences` keeps the CONSEQUENCES contract and holds one view of the clocks.
    """
    found = {r.recording: bars(Told.of(consequences, r.recording)) for r in intake.tested}
    shown = [r for r in intake.tested if found[r.recording]]
    title = sheet.headed(intake.activity, "How long in each band of effort?")
    if not shown:
        return sheet.missing(presentation, title, NOTHING)
    columns = min(len(shown), _COLUMNS)
    width = (sheet.LEGIBLE_TITLE - _NAMES) // columns - _BETWEEN
    longest = max(max(b.reference, b.device) for own in found.values() for b in own)
    frame = _Frame(width, max(longest, 1), presentation)
    styles = theme.styles([r.device for r in shown], presentation, bench)
    panels = [
        _panel(plain(r.label), found[r.recording], styles[r.device].colour, frame) for r in shown
    ]
    strips = []
    for start in range(0, len(panels), columns):
        strip = vega.hconcat(*panels[start : start + columns], spacing=_BETWEEN, bounds="flush")
        names = _names(found[shown[0].recording])
        strips.append(vega.hconcat(names, strip, spacing=0, bounds="flush"))
    view = str(consequences["alignment"].iloc[0])
    reference = plain(intake.reference.label) if intake.reference else "reference"
    return sheet.finished(
        strips,
        presentation,
        title,
        f"Minutes compared; {sheet.CLOCKS[view]}. Upper bar, filled: {reference}; lower: device.",
        alt(found, intake),
        between=30,
        bounds="full",
    )


def alt(found: Mapping[str, Sequence[Bar]], intake: SessionIntake) -> str:
    """One sentence with the minutes in each band by the reference and by each device."""
    parts = [
        f"{plain(recording.label)} "
        + listed(
            [
                f"{bar.device:.1f} {words(bar.band).lower()} (reference {bar.reference:.1f})"
                for bar in found[recording.recording]
                if max(bar.reference, bar.device) > 0
            ]
        )
        for recording in intake.tested
        if found[recording.recording]
    ]
    return f"Minutes in each band of effort: {'; '.join(parts)}."


def bars(told: Told | None) -> list[Bar]:
    """One for each of EFFORT_BANDS, from the lightest."""
    if told is None:
        return []
    amounts = [told.amounts[f"{BAND}{band}"] for band in EFFORT_BANDS]
    starts = [f"{amount.from_bpm:.0f}" for amount in amounts[1:]]
    between = [f"{start} to {end}" for start, end in pairwise(starts)]
    ranges = [f"below {starts[0]}", *between, f"from {starts[-1]}"]
    return [
        Bar(band, f"{bpm} bpm", amount.reference_value, amount.device_value)
        for band, bpm, amount in zip(EFFORT_BANDS, ranges, amounts, strict=True)
    ]


def _panel(heading: str, own: Sequence[Bar], colour: str, frame: _Frame) -> Any:
    above = [_row(b.reference, y - _BAR - 2) for b, y in zip(own, _MIDDLES, strict=True)]
    below = [_row(b.device, y + 2) for b, y in zip(own, _MIDDLES, strict=True)]
    text = vega.Chart(sheet.rows([*above, *below])).mark_text(
        align="left", baseline="middle", dx=12, fontSize=theme.SMALL
    )
    title = vega.TitleParams(
        heading, fontSize=theme.LABEL, frame="group", offset=16, limit=frame.width + _BETWEEN
    )
    return vega.layer(
        _bars(above, frame, color=frame.look.reference),
        _bars(below, frame, color=colour, fillOpacity=0.3, stroke=colour, strokeWidth=4),
        text.encode(x=frame.x, y=_pixels("middle"), text="text:N"),
        title=title,
        width=frame.width,
        height=_HEIGHT,
    )


def _row(minutes: float, top: float) -> dict[str, Any]:
    bottom = top + _BAR
    ends = {"from": 0, "minutes": round(minutes, 2), "top": top, "bottom": bottom}
    return ends | {"middle": (top + bottom) / 2, "text": f"{minutes:.1f}"}


def _bars(rows: Sequence[dict[str, Any]], frame: _Frame, **style: Any) -> Any:
    bars = vega.Chart(sheet.rows(row for row in rows if row["minutes"] > 0)).mark_rect(**style)
    return bars.encode(x=frame.x, x2="from:Q", y=_pixels("top"), y2="bottom:Q")


def _pixels(field: str) -> vega.Y:
    return vega.Y(f"{field}:Q", scale=None, axis=None)


def _names(own: Sequence[Bar]) -> Any:
    rows = [
        {"band": words(bar.band), "bpm": bar.bpm, "above": middle - 20, "below": middle + 20}
        for bar, middle in zip(own, _MIDDLES, strict=True)
    ]
    drawn = [
        vega.Chart(sheet.rows(rows))
        .mark_text(align="left", baseline="middle", fontSize=size, limit=_NAMES - 20)
        .encode(x=vega.value(0), y=_pixels(place), text=f"{field}:N")
        for field, place, size in (("band", "above", theme.LABEL), ("bpm", "below", theme.SMALL))
    ]
    return vega.layer(*drawn, width=_NAMES, height=_HEIGHT)
