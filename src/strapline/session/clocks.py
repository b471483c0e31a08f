"""What each file's clock is worth: the card's notes, completed by inference."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from strapline.session.card import ClockNote
from strapline.session.intake import Notice

if TYPE_CHECKING:
    from strapline.session.parsed import Candidate

# Where no file of a session has a clock, its time counts from here.
NO_CLOCK_START = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


def in_utc(reading: dt.datetime, zone: str) -> dt.datetime:
    """A wall-clock reading in `zone` (whatever zone it carries is a stand-in) as UTC.

    An hour that occurs twice when summer time ends is taken as the first of the two.
    """
    return reading.replace(tzinfo=ZoneInfo(zone), fold=0).astimezone(dt.UTC)


def complete_notes(
    found: Sequence[Candidate], reference: Candidate | None, default_zone: str
) -> tuple[dict[str, ClockNote], list[Notice]]:
    """A clock note for each recording that leaves nothing open, and what was assumed.

    A note's time_zone is set where the file's clock is local, its starts_at (in UTC) where the
    file counts elapsed time only.
    """
    start = _session_start(found, reference, default_zone)
    notes, notices = {}, []
    for candidate in found:
        note, assumed = _completed(candidate, default_zone, start)
        notes[candidate.recording] = note
        if assumed and candidate.set_aside is None:
            notices.append(Notice(kind="assumed", text=assumed, recording=candidate.recording))
    return notes, notices


def marker_s(candidate: Candidate) -> float | None:
    """When the moment that the card marks was, in s after the file's first sample, if it was."""
    note, laps = _stated(candidate), candidate.export.laps_s
    if note.lap is None:
        return note.marker
    return laps[note.lap - 1] if note.lap <= len(laps) else None


def _completed(
    candidate: Candidate, default_zone: str, start: dt.datetime | None
) -> tuple[ClockNote, str | None]:
    note = _stated(candidate)
    zone = note.time_zone or default_zone
    if candidate.export.clock == "local":
        assumed = f"{candidate.file} gives times without a zone; they are read as {zone} time."
        return note.model_copy(update={"time_zone": zone}), None if note.time_zone else assumed
    if candidate.export.clock == "elapsed" and note.starts_at is None:
        assumed = (
            f"{candidate.file} gives only time since its start; it is taken to start with the "
            "session. State clock.starts_at in the card if it did not."
        )
        return note.model_copy(update={"starts_at": start or NO_CLOCK_START}), assumed
    if note.starts_at is not None:
        given = note.starts_at
        begins = given.astimezone(dt.UTC) if given.tzinfo else in_utc(given, zone)
        return note.model_copy(update={"starts_at": begins}), None
    return note, None


def _session_start(
    found: Sequence[Candidate], reference: Candidate | None, default_zone: str
) -> dt.datetime | None:
    """First time of the reference, or else of the first file that has a clock."""
    in_order = ([reference] if reference else []) + [c for c in found if c.set_aside is None]
    starts = (_first(candidate, default_zone) for candidate in in_order)
    return next((start for start in starts if start is not None), None)


def _first(candidate: Candidate, default_zone: str) -> dt.datetime | None:
    first, note = candidate.export.first, _stated(candidate)
    if candidate.export.clock == "local" and first is not None:
        return in_utc(first, note.time_zone or default_zone)
    if candidate.export.clock == "elapsed" and note.starts_at is not None:
        zone = note.time_zone or default_zone
        return note.starts_at if note.starts_at.tzinfo else in_utc(note.starts_at, zone)
    return first


def _stated(candidate: Candidate) -> ClockNote:
    return candidate.entry.clock if candidate.entry else ClockNote()
