"""A session in full: what the card states, and the rest inferred and said."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from strapline.ground.records.card import FILE_NAME, LONGEST_FIRMWARE, Body, Card, ClockNote, Entry
from strapline.ground.records.intake import Notice, RecordingIntake, SessionIntake
from strapline.ground.records.marks import READ_FROM_PICTURE
from strapline.ground.records.stated import StatedIntake
from strapline.ground.records.wearers import Wearers, completed
from strapline.ground.vocabulary import UNSTATED, NoticeKind, Role
from strapline.ground.words import listed
from strapline.reading.session import notices
from strapline.reading.session.activity import activity_of
from strapline.reading.session.against import of_this_time
from strapline.reading.session.candidates import candidates
from strapline.reading.session.clocks import WITH_THE_SESSION, complete_notes, marker_s
from strapline.reading.session.entries import misspelt
from strapline.reading.session.histories import history_notices, within
from strapline.reading.session.reference import reference_among, straps_told_again
from strapline.reading.session.span import time_scale
from strapline.reading.session.stated import only_stated, stated_of

if TYPE_CHECKING:
    from strapline.ground.records.register import Register
    from strapline.reading.inbox.loose import Ends
    from strapline.reading.session.parsed import Candidate, ParsedExport

NOBODY = Wearers()
# What is taken as the card says it; the rest is completed or decided here.
AS_SAID = Entry.model_fields.keys() - {"file", "device", "role", "firmware", "stream", "stamp"}


def describe(
    session: str,
    title: str,
    exports: Sequence[ParsedExport],
    card: Card,
    register: Register,
    default_zone: str,
    activities: Mapping[str, Sequence[str]],
    mistakes: Sequence[str] = (),
    card_place: str = "",
    wearers: Wearers = NOBODY,
) -> SessionIntake:
    """The session as later stages see it.

    `activities` are the bench's, each with the words exports use for it. `mistakes` are those of
    a card that cannot be used: the session is then no evidence until they are mended, for its
    roles would be guesses against the tester's word. `card_place` is where a card that is not there
    yet would be. `wearers`: what is known of the one that the card names.
    """
    heard = _heard(session, exports, card, register, default_zone)
    body, unfit = _body(card, heard.exports, wearers)
    mistakes = [*mistakes, *misspelt(heard.exports, card, register), *unfit]
    how = _how_to_say(session, "" if card.recordings else card_place)
    set_aside = _reason_against(heard, mistakes, how)
    sports = {said for one in heard.usable if (said := one.export.identity.sport)}
    activity = activity_of(card.activity, title, sports, activities)
    return SessionIntake(
        session=session,
        title=title,
        activity=activity.name,
        wearer=card.wearer or UNSTATED,
        body=body,
        recordings=tuple(_recording(candidate, heard) for candidate in heard.found),
        stated=heard.stated,
        exclude=card.exclude,
        segments=card.segments,
        conditions=dict(card.conditions),
        notes=card.notes,
        correction=card.correction,
        set_aside=set_aside,
        notices=tuple(_notices(heard, card, activity.assumed, set_aside)),
    )


class Heard(NamedTuple):
    """The streams of a session, each with its device, by which clocks they are, and what apps
    state; `histories`: of recordings that go on longer than it, what is taken; `assumed`: what
    nothing says, and is told."""

    exports: Sequence[ParsedExport]
    found: tuple[Candidate, ...]
    reference: Candidate | None
    clock_notes: Mapping[str, ClockNote]
    histories: Mapping[str, Ends]
    stated: tuple[StatedIntake, ...]
    assumed: tuple[Notice, ...]

    @property
    def usable(self) -> list[Candidate]:
        return [candidate for candidate in self.found if candidate.set_aside is None]

    @property
    def starts_assumed(self) -> set[str | None]:
        """The recordings of which nothing says when they began."""
        return {notice.recording for notice in self.assumed if notice.text == WITH_THE_SESSION}


def _heard(
    session: str, exports: Sequence[ParsedExport], card: Card, register: Register, default_zone: str
) -> Heard:
    exports, of_archives = of_this_time(exports)
    found = candidates(session, exports, card, register)
    reference, grounds = reference_among([one for one in found if one.set_aside is None])
    found = straps_told_again(found, reference)
    clock_notes, of_clocks = complete_notes(found, reference, default_zone)
    of_roles = [Notice(kind=NoticeKind.ASSUMED, text=grounds)] if grounds else []
    return Heard(
        exports=exports,
        found=found,
        reference=reference,
        clock_notes=clock_notes,
        histories=within(found, reference, clock_notes),
        stated=stated_of(card, found, register, default_zone),
        assumed=(*of_roles, *of_archives, *of_clocks),
    )


def _notices(
    heard: Heard, card: Card, activity: str | None, set_aside: str | None
) -> Iterator[Notice]:
    usable, entries = heard.usable, [candidate.entry for candidate in heard.found]
    yield from notices.of_set_aside(heard.found, set_aside)
    yield from notices.of_breaks(usable)
    yield from heard.assumed
    yield from notices.of_clocks(usable)
    yield from notices.of_plots(usable, heard.reference)
    yield from history_notices(usable, heard.histories)
    yield from notices.of_devices(usable)
    yield from notices.of_streams(heard.found)
    yield from notices.of_sensors(usable, heard.reference)
    yield from notices.of_unstated(card, activity)
    yield from notices.of_stated(heard.stated)
    named = [*entries, *only_stated(card, heard.found)]
    yield from notices.of_missing_files(heard.exports, named, card)


def _body(card: Card, exports: Sequence[ParsedExport], wearers: Wearers) -> tuple[Body, list[str]]:
    """What the card says of the wearer's body, completed by what was known of it on the day; and a
    sentence where the two do not fit."""
    days = [export.first.date() for export in exports if export.first]
    try:
        return completed(card.body, wearers.body(card.wearer or "", min(days, default=None))), []
    except ValueError:
        said = (
            f"{FILE_NAME}: 'body' and config/wearers.yaml together must have 'resting_bpm' below "
            "'maximum_bpm'."
        )
        return card.body, [said]


def _recording(candidate: Candidate, heard: Heard) -> RecordingIntake:
    export, entry = candidate.export, candidate.entry
    said = {name: getattr(entry, name) for name in AS_SAID} if entry else {}
    return RecordingIntake(
        **said,
        recording=candidate.recording,
        file=export.file,
        sha256=export.sha256 or "",
        raw=export.raw,
        stream=export.stream,
        source=export.told.source if export.told else None,
        format=export.format,
        device=candidate.device,
        unit=candidate.unit,
        label=f"{candidate.described.label}{READ_FROM_PICTURE if export.resolution else ''}",
        device_kind=candidate.described.kind,
        role=Role.REFERENCE if candidate is heard.reference else Role.TEST,
        firmware=_firmware(candidate),
        stamp=(entry.stamp if entry else None) or export.stamp,
        unread=export.unread,
        clock=export.clock,
        clock_note=heard.clock_notes[candidate.recording],
        start_assumed=candidate.recording in heard.starts_assumed,
        satellite=export.satellite,
        resolution=export.resolution,
        time_from=candidate.described.time_from,
        first_s=export.first_s,
        time_scale=time_scale(candidate, heard.found),
        marker_s=marker_s(candidate),
        within=heard.histories.get(candidate.recording),
        set_aside=candidate.set_aside,
    )


def _firmware(candidate: Candidate) -> str | None:
    """The card's word before the file's, which is cut to what a card can hold."""
    stated = candidate.entry.firmware if candidate.entry else None
    return stated or (candidate.export.firmware or "")[:LONGEST_FIRMWARE] or None


def _reason_against(heard: Heard, mistakes: Sequence[str], how_to_say: str) -> str | None:
    """Why the whole session is no evidence, or None."""
    if mistakes:
        return " ".join(mistakes)
    if not heard.found:
        return "The folder holds no exports yet."
    for candidate in heard.found:
        entry = candidate.entry
        stated = entry is not None and entry.role == Role.REFERENCE and entry.leave_out is None
        if stated and candidate.set_aside:
            return f"The reference cannot be used. {candidate.recording}: {candidate.set_aside}"
    if heard.reference is None:
        return (
            "None of the recordings can be told to be the reference; "
            f"give one the role 'reference' in {FILE_NAME}{how_to_say}."
        )
    # The reference is among them.
    if len(heard.usable) + sum(entry.stands_alone for entry in heard.stated) < 2:
        of: dict[str, list[str]] = {}
        for candidate in heard.found:
            if candidate.set_aside:
                of.setdefault(candidate.set_aside, []).append(candidate.recording)
        reasons = [f"{listed(names)}: {reason}" for reason, names in of.items()]
        return " ".join(["No device is left to compare with the reference.", *reasons])
    return None


def _how_to_say(session: str, card_place: str) -> str:
    if not card_place:
        return ""
    draft = f"results/sessions/{session}/session.draft.yaml"
    return (
        f": type `{shlex.join(['cp', draft, card_place])}` and write there, below the strap's "
        "file, role: reference"
    )
