"""Minutes in each band of effort, by the reference and by each device."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from strapline.ground.words import in_words, listed, plain, share
from strapline.method.agreement.effort import BAND_STARTS_PERCENT, EFFORT_BANDS
from strapline.method.consequences.told import BAND, Told
from strapline.telling.charts.chart import CLOCKS, Chart, of_few
from strapline.telling.charts.ends import STRAP
from strapline.telling.charts.picture import Content, by_column
from strapline.telling.charts.places import places
from strapline.telling.charts.traces import NOTHING
from strapline.telling.session_tables import SessionTables


@dataclass(frozen=True)
class Bar:
    """A band's minutes by the reference and by the device, and the share of the maximum in which
    it lies."""

    band: str
    lies: str
    reference: float
    device: float


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """A panel a device; in each band a bar for the strap and one for the device."""
    found, intake = by_recording(tables), tables.intake
    shown = [r for r in intake.tested if r.recording in found]
    if not shown:
        return None
    place = places([r.device for r in shown], bench)
    rows = [
        {"panel": place[r.device], "place": at, "band": band, "minutes": round(minutes, 2)}
        for r in shown
        for band, one in enumerate(found[r.recording])
        for at, minutes in ((STRAP, one.reference), (place[r.device], one.device))
    ]
    longest = max(max(b.reference, b.device) for own in found.values() for b in own)
    first = found[shown[0].recording]
    values = {
        "headings": {str(place[r.device]): plain(r.label) for r in shown},
        "bands": [[in_words(one.band), one.lies] for one in first],
        "longest": max(round(longest, 2), 1),
    }
    return Content(
        f"Minutes compared; {CLOCKS}. Upper bar: strap; lower: device.",
        {"bars": by_column(rows)},
        values,
    )


def finding(tables: SessionTables) -> str:
    """'Lantern watch in a wrong band for 31 % of the time; ...'."""
    told = {r.label: Told.of(tables.told, r.recording) for r in tables.intake.tested}
    return of_few(
        [
            f"{plain(label)} in a wrong band for {share(found.wrong)} of the time"
            for label, found in told.items()
            if found is not None
        ]
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


@lru_cache(maxsize=1)
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
        Bar(band, f"{lies} % of maximum", amount.reference_value, amount.device_value)
        for band, lies, amount in zip(EFFORT_BANDS, ranges, amounts, strict=True)
    ]


BAND_MINUTES = Chart(
    name="band-minutes",
    about="session",
    section="consequences",
    needs=("consequences",),
    question="How long in each band of effort?",
    finding=finding,
    alt=alt,
    content=content,
    told=True,
)
