"""Recordings that go on for hours around the session, such as an app's history of days: only what
they hold of the session is used."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from strapline.ground.records.intake import Notice
from strapline.ground.vocabulary import FileClock, NoticeKind
from strapline.ground.words import lasting
from strapline.ground.zones import in_utc
from strapline.reading.session.clocks import FURTHEST_IN_A_SESSION, marker_s

if TYPE_CHECKING:
    from strapline.ground.records.card import ClockNote
    from strapline.reading.inbox.loose import Ends
    from strapline.reading.session.parsed import Candidate

# A history keeps its values further apart when nothing is recorded: few of those may come in with
# the session, and yet a clock may be wrong by as much as is searched by heart rate.
BESIDE = dt.timedelta(minutes=2)


def within(
    found: Sequence[Candidate], reference: Candidate | None, notes: Mapping[str, ClockNote]
) -> dict[str, Ends]:
    """From when to when, in UTC by its own clock, a recording is used that is a history: it goes on
    around the reference, and begins or ends further away than devices of one session do.

    None is one whose clock a marked moment sets, as that may be wrong by any time.
    """
    session = _span(reference, notes) if reference else None
    if session is None:
        return {}
    histories = {}
    for candidate in found:
        own = _span(candidate, notes) if marker_s(candidate) is None else None
        if own is None or candidate is reference:
            continue
        wrong = dt.timedelta(seconds=notes[candidate.recording].offset_s or 0.0)
        first, last = session[0] - wrong - BESIDE, session[1] - wrong + BESIDE
        furthest = max(first - own[0], own[1] - last)
        if own[0] <= first and last <= own[1] and furthest > FURTHEST_IN_A_SESSION:
            histories[candidate.recording] = (first, last)
    return histories


def history_notices(usable: Sequence[Candidate], histories: Mapping[str, Ends]) -> Iterator[Notice]:
    """A word on each: how little of it is used, and that its file is kept whole."""
    for candidate in usable:
        if candidate.recording in histories:
            in_all, beside = (
                lasting(time.total_seconds()) for time in (_lasted(candidate), BESIDE)
            )
            text = (
                f"Its file goes on for {in_all}; only what it holds of the session is used, and of "
                f"{beside} before and after. The file itself, its tables under raw/ and a package "
                "of the session hold all of it."
            )
            yield Notice(kind=NoticeKind.ASSUMED, text=text, recording=candidate.recording)


def _span(candidate: Candidate, notes: Mapping[str, ClockNote]) -> Ends | None:
    export, note = candidate.export, notes[candidate.recording]
    first = note.starts_at or export.first
    if first is None or candidate.set_aside is not None:
        return None
    if note.starts_at is None and export.clock == FileClock.LOCAL:
        first = in_utc(first, note.time_zone or "UTC")
    return first, first + _lasted(candidate)


def _lasted(candidate: Candidate) -> dt.timedelta:
    export = candidate.export
    if export.first and export.last:
        return export.last - export.first
    return dt.timedelta(seconds=export.length_s)
