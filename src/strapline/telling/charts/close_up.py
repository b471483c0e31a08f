"""The one worst fault of a session, close up: the strap and the device that was off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from strapline.ground.records.intake import RecordingIntake
from strapline.ground.words import clock, lasting, number, plain
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.headline import span_in_title
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.told import Told, weight
from strapline.telling.charts import seconds, traces
from strapline.telling.charts.build_up import only
from strapline.telling.charts.chart import Chart
from strapline.telling.charts.ends import STRAP
from strapline.telling.charts.picture import Content
from strapline.telling.charts.places import places
from strapline.telling.session_tables import SessionTables

# As much around it as it lasted, and no less than so many seconds on either side.
LEAST_AROUND_S = 30
NOTHING = "No fault was found in this session."
_MOST_MARKS = 8
_STEPS = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)


@dataclass(frozen=True)
class Worst:
    """The fault, whose it is, and all that is told of that device."""

    recording: RecordingIntake
    told: Told
    episode: Episode


def worst(tables: SessionTables) -> Worst | None:
    """The fault that weighs most among those of all devices; None where there is none."""
    found = []
    for recording in tables.compared:
        course = tables.courses[tables.courses["recording"] == recording.recording]
        own = tables.episodes[tables.episodes["recording"] == recording.recording]
        for told in (Told.of(row, own) for _, row in course.iterrows()):
            found += [Worst(recording, told, span) for span in told.spans]
    return max(found, key=lambda one: weight(one.episode), default=None)


def content(tables: SessionTables, bench: Sequence[str]) -> Content | None:
    """Heart rates and difference over the fault, and as much again around it."""
    found = worst(tables)
    if found is None:
        return None
    around = max(LEAST_AROUND_S, found.episode.duration_s // 2)
    start, end = max(found.episode.start_s - around, 0), found.episode.end_s + around
    # Only a frame shows it, which has more room than a page.
    whole = traces.content(_part(tables, start, end), bench, 2 * seconds.PLACES)
    if whole is None:
        return None
    place = places([each.device for each in tables.compared], bench)[found.recording.device]
    length = whole.values["end"]
    every = next((s for s in _STEPS if length <= _MOST_MARKS * s), length)
    shown = only(whole, {STRAP, place})
    return replace(shown, values={**shown.values, "first": start, "every": every})


def finding(tables: SessionTables) -> str:
    """'Harbour watch read 29 bpm low from 8:15 to 9:12'."""
    found = worst(tables)
    if found is None:
        return NOTHING
    return f"{plain(found.recording.label)} {span_in_title(found.told, found.episode)}"


def alt(tables: SessionTables) -> str:
    """When it began, how long it lasted, how far off it was."""
    found = worst(tables)
    if found is None:
        return NOTHING
    one, off = found.episode, ""
    if kind(one.kind).has_error:
        mean, most = (number(value, True) for value in (one.mean_error_bpm, one.peak_error_bpm))
        off = f": {mean} bpm off on average, {most} bpm at most"
    name, at, long = plain(found.recording.label), clock(one.start_s), lasting(one.duration_s)
    return f"{name} from {at}, for {long}{off}."


def _part(tables: SessionTables, start: int, end: int) -> SessionTables:
    """The session from one second to another, as if it had begun at the first."""
    since = seconds.elapsed(tables.aligned)
    excluded = tuple(
        span.model_copy(update={"start": max(span.start - start, 0), "end": span.end - start})
        for span in tables.intake.exclude
        if span.end > start
    )
    spans = tables.episodes
    inside = spans[(spans["start_s"] < end) & (spans["end_s"] > start)]
    first, last = inside["start_s"].clip(lower=start), inside["end_s"].clip(upper=end)
    return replace(
        tables,
        intake=tables.intake.model_copy(update={"exclude": excluded}),
        aligned=tables.aligned[(since >= start) & (since <= end)],
        episodes=inside.assign(start_s=first - start, end_s=last - start),
    )


CLOSE_UP = Chart(
    name="close-up",
    about="session",
    section="",
    needs=("aligned", "episodes", "courses"),
    question="The worst fault of the session",
    finding=finding,
    alt=alt,
    content=content,
)
