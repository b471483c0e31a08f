"""A session in full: what the card states, and the rest inferred and said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from strapline.session.card import FILE_NAME, Card, ClockNote
from strapline.session.clocks import complete_notes
from strapline.session.discovery import slug
from strapline.session.intake import UNSTATED, Notice, RecordingIntake, SessionIntake
from strapline.session.roles import candidates, reference_among

if TYPE_CHECKING:
    from strapline.session.devices import Register
    from strapline.session.parsed import Candidate, ParsedExport


def describe(
    session: str,
    title: str,
    exports: Sequence[ParsedExport],
    card: Card,
    register: Register,
    default_zone: str,
    mistakes: Sequence[str] = (),
) -> SessionIntake:
    """The session as later stages see it.

    `mistakes` are those of a card that cannot be used: the session is then no evidence until
    they are mended, for its roles would be guesses against the tester's word.
    """
    found = candidates(exports, card, register)
    usable = [candidate for candidate in found if candidate.set_aside is None]
    reference, grounds = reference_among(usable)
    clock_notes, clock_notices = complete_notes(found, reference, default_zone)
    set_aside = _reason_against(found, usable, reference, mistakes)
    notices = [
        *_set_aside_notices(found, set_aside),
        *([Notice(kind="assumed", text=grounds)] if grounds else []),
        *clock_notices,
        *_device_notices(usable),
        *_unstated_notices(card, usable),
        *_missing_file_notices(exports, card),
    ]
    return SessionIntake(
        session=session,
        title=title,
        activity=card.activity or _activity(usable),
        wearer=card.wearer or UNSTATED,
        body=card.body,
        recordings=tuple(
            _recording(candidate, candidate is reference, clock_notes[candidate.recording])
            for candidate in found
        ),
        exclude=card.exclude,
        segments=card.segments,
        conditions=dict(card.conditions),
        notes=card.notes,
        set_aside=set_aside,
        notices=tuple(notices),
    )


def _recording(candidate: Candidate, is_reference: bool, note: ClockNote) -> RecordingIntake:
    export, entry = candidate.export, candidate.entry
    return RecordingIntake(
        recording=export.recording,
        file=export.file,
        sha256=export.sha256 or "",
        format=export.format,
        device=candidate.device,
        label=candidate.described.label,
        device_kind=candidate.described.kind,
        role="reference" if is_reference else "test",
        placement=entry.placement if entry else "other",
        firmware=entry.firmware if entry else None,
        own_sensor=entry.own_sensor if entry else False,
        clock=export.clock,
        clock_note=note,
        set_aside=candidate.set_aside,
    )


def _reason_against(
    found: Sequence[Candidate],
    usable: Sequence[Candidate],
    reference: Candidate | None,
    mistakes: Sequence[str],
) -> str | None:
    """Why the whole session is no evidence, or None."""
    if mistakes:
        return " ".join(mistakes)
    if not found:
        return "The folder holds no exports yet."
    for candidate in found:
        stated = candidate.entry is not None and candidate.entry.role == "reference"
        if stated and candidate.set_aside:
            return f"The reference cannot be used. {candidate.file}: {candidate.set_aside}"
    if reference is None:
        return (
            "None of the recordings can be told to be the reference; "
            f"give one the role 'reference' in {FILE_NAME}."
        )
    if len(usable) < 2:
        return "No device is left to compare with the reference."
    return None


def _set_aside_notices(found: Iterable[Candidate], session_reason: str | None) -> list[Notice]:
    whole = [Notice(kind="set_aside", text=session_reason)] if session_reason else []
    return whole + [
        Notice(kind="set_aside", text=f"{c.file}: {c.set_aside}", recording=c.recording)
        for c in found
        if c.set_aside
    ]


def _device_notices(usable: Iterable[Candidate]) -> list[Notice]:
    texts: list[tuple[Candidate, str]] = []
    for candidate in usable:
        texts += [(candidate, remark) for remark in candidate.export.remarks]
        if not candidate.registered:
            texts.append(
                (
                    candidate,
                    f"{candidate.file} is from '{candidate.device}', which the "
                    "device register does not know; add it there to name it.",
                )
            )
        elif candidate.entry is None:
            texts.append((candidate, f"{candidate.file} is recognised as {candidate.device}."))
    return [Notice(kind="assumed", text=text, recording=c.recording) for c, text in texts]


def _unstated_notices(card: Card, usable: Sequence[Candidate]) -> list[Notice]:
    texts = []
    if card == Card():
        texts.append(
            "The session has no card, so all of it is inferred; a draft to accept or correct "
            "lies beside its tables, as session.draft.yaml."
        )
    if card.wearer is None:
        texts.append(f"Nobody states the wearer; say it in {FILE_NAME}.")
    if card.activity is None:
        found = _activity(usable)
        heard = "no export agrees on one" if found == UNSTATED else f"the exports say {found}"
        texts.append(f"The activity is not stated in {FILE_NAME}; {heard}.")
    return [Notice(kind="assumed", text=text) for text in texts]


def _missing_file_notices(exports: Sequence[ParsedExport], card: Card) -> list[Notice]:
    present = {export.file for export in exports}
    return [
        Notice(
            kind="set_aside",
            text=f"{FILE_NAME} names {entry.file}, which is not in the folder; correct the name "
            "or add the file.",
        )
        for entry in card.recordings
        if entry.file not in present
    ]


def _activity(usable: Iterable[Candidate]) -> str:
    sports = sorted({c.export.sport for c in usable if c.export.sport})
    return slug(sports[0]) if len(sports) == 1 else UNSTATED
