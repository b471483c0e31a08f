"""Minutes in each band of effort, by the reference and by each device."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from strapline.ground.words import in_words, listed, plain
from strapline.method.agreement.effort import BAND_STARTS_PERCENT, EFFORT_BANDS
from strapline.method.consequences.told import BAND, Told
from strapline.telling.charts import letters, rows_of, theme
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.marks import Part, beside, mark, panel, quantity, up_to, written
from strapline.telling.charts.sheet import CLOCKS, Sheet, heading, ticks
from strapline.telling.charts.specification import Specification
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables

_COLUMNS = 3
_NAMES = 330
_BETWEEN = 130
_ABOVE, _BELOW = 62, 76
# Upper and lower end of a bar, in parts of a band's row.
_REFERENCE, _DEVICE = (0.14, 0.47), (0.53, 0.86)


@dataclass(frozen=True)
class Bar:
    """A band's minutes by the reference and by the device, and the share of the maximum in which
    it lies."""

    band: str
    lies: str
    reference: float
    device: float


def draw(tables: SessionTables, sheet: Sheet) -> Specification:
    """A panel a device; in each band the upper bar is the reference, the lower the device."""
    found, intake = by_recording(tables), tables.intake
    shown = [r for r in intake.tested if r.recording in found]
    if not shown:
        return sheet.saying()
    reference = plain(intake.reference.label) if intake.reference else "reference"
    on = sheet.explained(
        f"Minutes compared; {CLOCKS}. Upper bar, filled: {reference}; lower: device."
    )
    columns = 1 if on.frame.upright else min(len(shown), _COLUMNS)
    width = (on.width - _NAMES) // columns - _BETWEEN
    strips = range(0, len(shown), columns)
    room = on.height / len(strips) - _ABOVE - _BELOW
    place = rows_of.Rows(len(EFFORT_BANDS), room, most=132, least=72)
    longest = max(max(b.reference, b.device) for own in found.values() for b in own)
    values = ticks(0, longest, max(2, width // 110))
    x = quantity("minutes", (0, max(longest, 1)), {"title": None, "values": values})
    styles = on.styles(r.device for r in shown)
    panels = [
        panel(
            [
                *_bars(found[r.recording], x, place, styles[r.device].colour),
                *(_names(found[r.recording], place) if index % columns == 0 else []),
            ],
            width,
            place.height,
            heading(r.label, width + _BETWEEN - 20),
        )
        for index, r in enumerate(shown)
    ]
    return on.finished(
        [beside(panels[start : start + columns], _BETWEEN) for start in strips],
        between=30,
        bounds="full",
        left=_NAMES,
    )


def alt(tables: SessionTables) -> str:
    """One sentence with the minutes in each band by the reference and by each device."""
    found = by_recording(tables)
    parts = [
        f"{plain(recording.label)} "
        + listed(
            [
                f"{bar.device:.1f} {in_words(bar.band).lower()} (reference {bar.reference:.1f})"
                for bar in found[recording.recording]
                if max(bar.reference, bar.device) > 0
            ]
        )
        for recording in tables.intake.tested
        if recording.recording in found
    ]
    return f"Minutes in each band of effort: {'; '.join(parts)}." if parts else NOTHING


def by_recording(tables: SessionTables) -> dict[str, list[Bar]]:
    """The bars of each tested recording that has any."""
    found = {r.recording: bars(Told.of(tables.told, r.recording)) for r in tables.intake.tested}
    return {name: own for name, own in found.items() if own}


def bars(told: Told | None) -> list[Bar]:
    """One for each of EFFORT_BANDS, from the lightest."""
    if told is None:
        return []
    amounts = [told.amounts[f"{BAND}{band}"] for band in EFFORT_BANDS]
    starts = [f"{start:g}" for start in BAND_STARTS_PERCENT]
    between = [f"{start} to {end}" for start, end in pairwise(starts)]
    ranges = [f"below {starts[0]}", *between, f"from {starts[-1]}"]
    return [
        Bar(band, f"{share} % of maximum", amount.reference_value, amount.device_value)
        for band, share, amount in zip(EFFORT_BANDS, ranges, amounts, strict=True)
    ]


def _bars(own: Sequence[Bar], x: Part, place: rows_of.Rows, colour: theme.Value) -> list[Part]:
    """A bar and its minutes for either side of each band; none of no minutes."""
    hollow = {"color": colour, "fillOpacity": 0.3, "stroke": colour, "strokeWidth": 4}
    sides = (
        (_REFERENCE, [bar.reference for bar in own], {"color": theme.REFERENCE}),
        (_DEVICE, [bar.device for bar in own], hollow),
    )
    drawn = []
    for (top, bottom), minutes, style in sides:
        rows = [
            {"minutes": round(value, 2), "from": 0, "row": row + top, "end": row + bottom}
            for row, value in enumerate(minutes)
            if value > 0
        ]
        said = [
            {"minutes": round(value, 2), "row": row + (top + bottom) / 2, "text": f"{value:.1f}"}
            for row, value in enumerate(minutes)
        ]
        bar = {"x": x, "x2": up_to("from"), "y": place.y(), "y2": up_to("end")}
        text = {"x": x, "y": place.y(), "text": written("text")}
        small = {"align": "left", "baseline": "middle", "dx": 12, "fontSize": theme.SMALL}
        drawn += [mark("rect", rows, bar, **style), mark("text", said, text, **small)]
    return drawn


def _names(own: Sequence[Bar], place: rows_of.Rows) -> list[Part]:
    """Each band and where it lies, left of the panel."""
    bands = [letters.fitted(in_words(bar.band), _NAMES - 20, theme.LABEL) for bar in own]
    ranges = [letters.fitted(bar.lies, _NAMES - 20, theme.SMALL) for bar in own]
    return [
        place.words(enumerate(bands), -_NAMES, dy=-17),
        place.words(enumerate(ranges), -_NAMES, dy=17, fontSize=theme.SMALL),
    ]


BAND_MINUTES = Chart(
    name="band-minutes",
    about="session",
    section="consequences",
    needs=("consequences",),
    question="How long in each band of effort?",
    finding="The sentences above it say how many minutes were put in a wrong band.",
    alt=alt,
    draw=draw,
    told=True,
)
