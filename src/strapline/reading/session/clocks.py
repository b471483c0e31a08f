"""What each file's clock is worth: the card's notes, completed by inference."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from strapline.ground.records.card import ClockNote
from strapline.ground.records.intake import Notice
from strapline.ground.vocabulary import FileClock, NoticeKind
from strapline.ground.zones import fixed_zone, in_utc, second_zone, stated_in_utc, zone_named

if TYPE_CHECKING:
    from strapline.reading.session.parsed import Candidate, ParsedExport

# Devices of one session are started within hours of each other.
FURTHEST_IN_A_SESSION = dt.timedelta(hours=6)
# Where no file of a session has a clock, its time counts from here.
NO_CLOCK_START = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
WITH_THE_SESSION = (
    "Its file gives only time since the start; it is taken to start with the session. State "
    "clock.starts_at in the card if it did not."
)


def complete_notes(
    found: Sequence[Candidate], reference: Candidate | None, default_zone: str
) -> tuple[dict[str, ClockNote], list[Notice]]:
    """A clock note for each recording that leaves nothing open, and what was assumed.

    A note's time_zone is set where the file's clock is local, its starts_at (in UTC) where the
    file counts elapsed time only.
    """
    zones = {candidate.recording: _zone_of(candidate, found, default_zone) for candidate in found}
    start = _session_start(found, reference, zones)
    notes, notices = {}, []
    for candidate in found:
        zone = zones[candidate.recording]
        note, assumed = _completed(candidate, zone, default_zone, start)
        if (moved := _day_as_month(candidate, found, zone)) and note.starts_at is None:
            note, assumed = note.model_copy(update={"starts_at": moved[0]}), moved[1]
        notes[candidate.recording] = note
        if assumed and candidate.set_aside is None:
            is_moved = note.time_zone not in (None, default_zone)
            kind = NoticeKind.CLOCK if is_moved else NoticeKind.ASSUMED
            notices.append(Notice(kind=kind, text=assumed, recording=candidate.recording))
    return notes, notices


def marker_s(candidate: Candidate) -> float | None:
    """When the moment that the card marks was, in s after the file's first sample, if it was."""
    note, laps = _stated(candidate), candidate.export.laps_s
    if note.lap is None:
        return note.marker
    return laps[note.lap - 1] if note.lap <= len(laps) else None


def _completed(
    candidate: Candidate, zone: str, default_zone: str, start: dt.datetime | None
) -> tuple[ClockNote, str | None]:
    note = _stated(candidate)
    if note.starts_at is not None:
        begins = stated_in_utc(note.starts_at, zone)
        return note.model_copy(update={"starts_at": begins}), None
    if candidate.export.clock == FileClock.LOCAL:
        assumed = f"Its file gives times without a zone; they are read as {zone} time."
        if twice := _told_of_the_change(candidate.export, zone, default_zone):
            assumed += twice
        elif zone != default_zone:
            assumed += (
                f" That is what another file of the session states; as {default_zone} time they "
                "would share no time with it."
            )
        return note.model_copy(update={"time_zone": zone}), None if note.time_zone else assumed
    if candidate.export.clock == FileClock.ELAPSED:
        zone = "UTC" if candidate.export.utc_offset_s == 0 else zone
        if (on_the_day := _on_the_day(candidate.export, zone, start)) is not None:
            assumed = (
                "Its file gives times of day without a date; they are read as those of the day of "
                f"the session, in {zone} time."
            )
            return note.model_copy(update={"starts_at": on_the_day}), assumed
        return note.model_copy(update={"starts_at": start or NO_CLOCK_START}), WITH_THE_SESSION
    return note, None


def _day_as_month(
    candidate: Candidate, found: Sequence[Candidate], zone: str
) -> tuple[dt.datetime, str] | None:
    """When a recording on a wall clock began, and a word on that, where it shares time with other
    files only if its dates have the day before the month."""
    export, certain = candidate.export, _certain(candidate, found)
    if export.clock != FileClock.LOCAL or export.first is None or export.first.day > 12:
        return None
    if _is_corrected(candidate) or _share_time(export, zone, certain):
        return None
    moved = export.first.replace(month=export.first.day, day=export.first.month)
    last = export.last and export.last + (moved - export.first)
    if not _share_time(replace(export, first=moved, last=last), zone, certain):
        return None
    said = (
        "Its dates are read with the day before the month, for else they would share no time with "
        f"the session's other files; they give no zone, and are read as {zone} time."
    )
    return in_utc(moved, zone), said


def _told_of_the_change(export: ParsedExport, zone: str, default_zone: str) -> str | None:
    """A word on times of the night in which clocks are set back, or None."""
    if export.first is None or export.last is None:
        return None
    second = second_zone(export.first, default_zone)
    if second and zone == second:
        return " Clocks showed that hour twice; the second is that of the session's other files."
    ends = [second_zone(end, zone) for end in (export.first, export.last)]
    if any(ends) or _offset(export.first, zone) > _offset(export.last, zone):
        return " Clocks were set back that night; its times are read so that they go on."
    return None


def _offset(reading: dt.datetime, zone: str) -> dt.timedelta:
    return reading.replace(tzinfo=None) - in_utc(reading, zone).replace(tzinfo=None)


def _on_the_day(export: ParsedExport, zone: str, start: dt.datetime | None) -> dt.datetime | None:
    """When an export of times of day began: on the day that brings it nearest to `start`."""
    if not export.times_of_day or export.first_s is None or start is None:
        return None
    midnight = dt.datetime.combine(start.astimezone(zone_named(zone)).date(), dt.time())
    of_day = dt.timedelta(seconds=export.first_s)
    possible = (in_utc(midnight + dt.timedelta(days) + of_day, zone) for days in (-1, 0, 1))
    nearest = min(possible, key=lambda moment: abs(moment - start))
    return nearest if abs(nearest - start) <= FURTHEST_IN_A_SESSION else None


def _session_start(
    found: Sequence[Candidate], reference: Candidate | None, zones: Mapping[str, str]
) -> dt.datetime | None:
    """First time of the reference, or else of the first file that has a clock."""
    in_order = ([reference] if reference else []) + [c for c in found if c.set_aside is None]
    starts = (_first(candidate, zones[candidate.recording]) for candidate in in_order)
    return next((start for start in starts if start is not None), None)


def _first(candidate: Candidate, zone: str) -> dt.datetime | None:
    first, note = candidate.export.first, _stated(candidate)
    if note.starts_at is not None:
        return stated_in_utc(note.starts_at, zone)
    if candidate.export.clock == FileClock.LOCAL and first is not None:
        return in_utc(first, zone)
    return first


def _zone_of(candidate: Candidate, found: Sequence[Candidate], default_zone: str) -> str:
    """The zone of the recording's local times: stated in the card, or the default.

    A file with a certain clock may state how far the wearer's clock was from UTC. That goes
    before the default only where nothing else can be meant: read by it, the local times share
    time with such a file, and read in the default zone they share none with any. Nothing is
    concluded where files disagree on it, or where the card corrects a clock.
    """
    note, export = _stated(candidate), candidate.export
    if note.time_zone or export.clock != FileClock.LOCAL or _is_corrected(candidate):
        return note.time_zone or default_zone
    certain = _certain(candidate, found)
    second = _second_hour(export, default_zone, certain)
    if second:
        return second
    stating = [other for other in certain if other.utc_offset_s is not None]
    zones = {fixed_zone(other.utc_offset_s or 0) for other in stating}
    if len(zones) != 1 or _share_time(export, default_zone, certain):
        return default_zone
    zone = zones.pop()
    return zone if _share_time(export, zone, stating) else default_zone


def _certain(candidate: Candidate, found: Sequence[Candidate]) -> list[ParsedExport]:
    """The other files whose clocks are certain."""
    return [
        other.export
        for other in found
        if other.export.clock == FileClock.UTC
        and other.export.file != candidate.export.file
        and other.set_aside is None
        and not _is_corrected(other)
    ]


def _second_hour(local: ParsedExport, zone: str, others: Sequence[ParsedExport]) -> str | None:
    """The zone of the second of an hour that clocks show twice, where a recording lies in it whole
    and shares more time with other files then than in the first."""
    if local.first is None or local.last is None or not second_zone(local.last, zone):
        return None
    second = second_zone(local.first, zone)
    if second is None or _time_shared(local, zone, others) >= _time_shared(local, second, others):
        return None
    return second


def _is_corrected(candidate: Candidate) -> bool:
    note = _stated(candidate)
    return note.starts_at is not None or note.offset_s is not None


def _share_time(local: ParsedExport, zone: str, others: Sequence[ParsedExport]) -> bool:
    return _time_shared(local, zone, others) > dt.timedelta(0)


def _time_shared(local: ParsedExport, zone: str, others: Sequence[ParsedExport]) -> dt.timedelta:
    """With whichever of the others that is most."""
    none = dt.timedelta(0)
    if local.first is None or local.last is None:
        return none
    first, last = in_utc(local.first, zone), in_utc(local.last, zone)
    shared = (
        min(last, other.last) - max(first, other.first)
        for other in others
        if other.first is not None and other.last is not None
    )
    return max(shared, default=none)


def _stated(candidate: Candidate) -> ClockNote:
    return candidate.entry.clock if candidate.entry else ClockNote()
