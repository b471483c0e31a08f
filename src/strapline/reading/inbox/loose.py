"""Files dropped straight into the inbox: which of them were recorded together."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pydantic import BaseModel

from strapline.ground.vocabulary import FileClock
from strapline.ground.zones import zone_named
from strapline.reading.inbox.read_once import Entries, ReadOnce

if TYPE_CHECKING:
    from strapline.reading.formats.export import Export

# Two files belong together if they share at least this part of the shorter one's time, and the
# longer is no more than this many times as long: a day's monitoring is no part of a workout.
SMALLEST_SHARED = 0.5
LONGEST_TIMES = 4.0

WITH_A_CARD = "Put the files of its session in a folder, with a card (session.yaml) beside them."
GONE = "It is gone, or cannot be read."
ELSEWHERE = "Put it in a folder with the other files of its session."


class Span(BaseModel):
    """A file's first and last time in UTC, or why it has none."""

    first: dt.datetime | None = None
    last: dt.datetime | None = None
    reason: str | None = None


@dataclass(frozen=True)
class LooseFile:
    path: Path
    first: dt.datetime
    last: dt.datetime


def read_spans(
    paths: Sequence[Path],
    inbox: Path,
    zone: str,
    headings: Mapping[str, Sequence[str]],
    kept: Path,
) -> dict[Path, Span]:
    """The span of each file that can be read; `zone` is that of times without one, `headings` more
    by meaning. Reading takes a while: what was read stays in the JSON file `kept`."""
    read_by = json.dumps([zone, headings])
    spans = ReadOnce(inbox, kept, Entries[Span], lambda path: _span(path, zone, headings), read_by)
    found = {path: spans.of(path) or Span(reason=GONE) for path in paths}
    spans.keep()
    return found


def together(files: Sequence[LooseFile]) -> list[list[LooseFile]]:
    """The files in groups recorded at one time, in order of their start."""
    groups: list[list[LooseFile]] = []
    for file in sorted(files, key=lambda f: (f.first, f.path.name)):
        joined = [group for group in groups if any(belong(file, other) for other in group)]
        groups = [group for group in groups if group not in joined]
        groups.append([*(other for group in joined for other in group), file])
    return sorted(groups, key=lambda group: (group[0].first, group[0].path.name))


def group_name(group: Sequence[LooseFile], zone: str) -> str:
    """'2026-03-02-1805': when the first of the files begins, on the tester's clock."""
    return f"{group[0].first.astimezone(zone_named(zone)):%Y-%m-%d-%H%M}"


def belong(one: LooseFile, other: LooseFile) -> bool:
    """Whether the two were recorded together."""
    shared = (min(one.last, other.last) - max(one.first, other.first)).total_seconds()
    lengths = sorted((file.last - file.first).total_seconds() for file in (one, other))
    return shared >= SMALLEST_SHARED * lengths[0] and lengths[1] <= LONGEST_TIMES * lengths[0]


def _span(path: Path, zone: str, headings: Mapping[str, Sequence[str]]) -> Span:
    # Imported here: what reads files takes half a second to load, and a run without new loose
    # files does not need it.
    from strapline.reading.formats import UndecidedExport, UnreadableExport, read_export
    from strapline.reading.formats.headings import shipped

    try:
        ends = ends_of(read_export(path, shipped().and_more(headings)), zone)
    except UndecidedExport as error:
        return Span(reason=f"{error} {WITH_A_CARD}")
    except UnreadableExport as error:
        return Span(reason=str(error))
    if isinstance(ends, str):
        return Span(reason=ends)
    return Span(first=ends[0], last=ends[1])


def ends_of(export: Export, zone: str) -> tuple[dt.datetime, dt.datetime] | str:
    """The first and last time of an export in UTC, or why it has none."""
    from strapline.ground.wall_clock import wall_in_utc
    from strapline.reading.session.span import clock_fault, span_of

    times = [export.samples["time"], export.beats["time"]]
    if export.clock == FileClock.LOCAL:
        times = [wall_in_utc(wall, zone) for wall in times]
    fault = next((found for found in map(clock_fault, times) if found), None)
    if fault and fault.kind != "jump":
        return f"{fault.what}. {ELSEWHERE}"
    ends = next((found for found in map(span_of, times) if found), None)
    if ends is None:
        only = ", only the time since its start" if export.clock == FileClock.ELAPSED else ""
        return f"It gives no time of day{only}. {ELSEWHERE}"
    return ends
