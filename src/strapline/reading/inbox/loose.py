"""Files dropped straight into the inbox: which of them were recorded together."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from strapline.ground.documents import Strict
from strapline.ground.vocabulary import FileClock
from strapline.ground.zones import zone_named
from strapline.reading.inbox.read_once import Entries, ReadOnce

if TYPE_CHECKING:
    from strapline.ground.settings import Settings
    from strapline.reading.formats.export import Export

# Two files belong together if they share at least this part of the shorter one's time, and the
# longer is no more than this many times as long: a day's monitoring is no part of a workout.
SMALLEST_SHARED = 0.5
LONGEST_TIMES = 4.0

WITH_A_CARD = "Put the files of its session in a folder, with a card (session.yaml) beside them."
GONE = "It is gone, or cannot be read."
ELSEWHERE = "Put it in a folder with the other files of its session."


# First and last time in UTC.
Ends = tuple[dt.datetime, dt.datetime]


class FileSpan(Strict):
    """From when to when a file goes, or why nothing tells."""

    ends: Ends | None = None
    reason: str | None = None


def read_spans(
    paths: Sequence[Path], inbox: Path, settings: Settings, kept: Path
) -> dict[Path, FileSpan]:
    """The span of each file that can be read, by the zone and the headings of the settings.
    Reading takes a while: what was read stays in the JSON file `kept`."""
    zone, headings = settings.clock.time_zone, settings.headings.model_dump()
    read_by = json.dumps([zone, headings])
    spans = ReadOnce(
        inbox, kept, Entries[FileSpan], lambda path: _span(path, zone, headings), read_by
    )
    found = {path: spans.of(path) or FileSpan(reason=GONE) for path in paths}
    spans.keep()
    return found


def together(files: Mapping[Path, Ends]) -> list[list[Path]]:
    """The files in groups recorded at one time, in order of their start."""

    def start(path: Path) -> tuple[dt.datetime, str]:
        return files[path][0], path.name

    groups: list[list[Path]] = []
    for path in sorted(files, key=start):
        joined = [one for one in groups if any(belong(files[path], files[o]) for o in one)]
        groups = [group for group in groups if group not in joined]
        groups.append([*(other for group in joined for other in group), path])
    return sorted(groups, key=lambda group: start(group[0]))


def group_name(start: dt.datetime, zone: str) -> str:
    """'2026-03-02-1805': when the first of the files begins, on the tester's clock."""
    return f"{start.astimezone(zone_named(zone)):%Y-%m-%d-%H%M}"


def belong(one: Ends, other: Ends) -> bool:
    """Whether the two were recorded together."""
    short, long = sorted((one, other), key=_length)
    return covers(long, short) and _length(long) <= LONGEST_TIMES * _length(short)


def covers(one: Ends, other: Ends) -> bool:
    """Whether the one shares at least half of the other's time."""
    shared = min(one[1], other[1]) - max(one[0], other[0])
    return shared >= SMALLEST_SHARED * _length(other)


def _length(ends: Ends) -> dt.timedelta:
    return ends[1] - ends[0]


def _span(path: Path, zone: str, headings: Mapping[str, Sequence[str]]) -> FileSpan:
    # Imported here: what reads files takes half a second to load, and a run without new loose
    # files does not need it.
    from strapline.reading.formats import UndecidedExport, UnreadableExport, read_export
    from strapline.reading.formats.headings import shipped

    try:
        return span_of(read_export(path, shipped().and_more(headings)), zone)
    except UndecidedExport as error:
        return FileSpan(reason=f"{error} {WITH_A_CARD}")
    except UnreadableExport as error:
        return FileSpan(reason=str(error))


def span_of(export: Export, zone: str) -> FileSpan:
    from strapline.ground.wall_clock import wall_in_utc
    from strapline.reading.session import span

    times = [export.samples["time"], export.beats["time"]]
    if export.clock == FileClock.LOCAL:
        times = [wall_in_utc(wall, zone) for wall in times]
    fault = next((found for found in map(span.clock_fault, times) if found), None)
    if fault and fault.kind != "jump":
        return FileSpan(reason=f"{fault.what}. {ELSEWHERE}")
    ends = next((found for found in map(span.span_of, times) if found), None)
    only = ", only the time since its start" if export.clock == FileClock.ELAPSED else ""
    return FileSpan(
        ends=ends, reason=None if ends else f"It gives no time of day{only}. {ELSEWHERE}"
    )
