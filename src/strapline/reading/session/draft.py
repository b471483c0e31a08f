"""A session as understood, written as a card for the tester to accept or correct."""

from collections.abc import Mapping
from typing import Any

from strapline.ground.documents import as_yaml
from strapline.ground.records.card import FILE_NAME, Card, ClockNote, Entry, Recording
from strapline.ground.records.intake import RecordingIntake, SessionIntake, is_unknown
from strapline.ground.records.register import REFERENCE_KINDS, Device
from strapline.ground.records.stated import StatedIntake
from strapline.ground.slugs import numbered, short_slug
from strapline.ground.vocabulary import UNSTATED, NoticeKind, Placement
from strapline.reading.session.entries import stem

NONE: Mapping[str, Device] = {}


def draft_content(
    intake: SessionIntake, zone: str, devices: Mapping[str, Device] = NONE
) -> dict[str, Any]:
    """A card that states all that was stated or inferred, valid under `Card`; a device that has no
    name yet is called after its file, and as none of the register's `devices`. The settings' `zone`
    is stated nowhere: so it holds on where it is corrected there. Nor is a start that is assumed:
    so it is asked for until it is known."""
    stated = {entry.recording: entry for entry in intake.stated}
    names = _proposed(intake, devices)
    recordings = [
        _recording(r, names.get(r.recording, r.device), zone, stated.pop(r.recording, None))
        for r in intake.recordings
        if r.set_aside is None or r.leave_out
    ]
    card = Card.model_construct(
        activity=None if intake.activity == UNSTATED else intake.activity,
        wearer=None if intake.wearer == UNSTATED else intake.wearer,
        body=intake.body,
        recordings=(*recordings, *map(_without_file, stated.values())),
        exclude=intake.exclude,
        segments=intake.segments,
        conditions=intake.conditions,
        notes=intake.notes,
        correction=intake.correction,
    )
    return card.model_dump(mode="json", by_alias=True, exclude_defaults=True)


def draft_card(intake: SessionIntake, zone: str, devices: Mapping[str, Device] = NONE) -> str:
    """The text of the draft, with what was assumed, and what is still to be said."""
    assumed = [notice.text for notice in intake.notices if notice.kind == NoticeKind.ASSUMED]
    comments = [
        f"What was understood of this session. To accept or correct it, save it as {FILE_NAME}",
        f"in the session's folder, or, for files outside a folder, as inbox/{intake.title}.yaml.",
        *(f"- {text}" for text in assumed),
    ]
    if _proposed(intake, devices):
        comments.append("No device is known of some files; those here are called after them, so")
        comments.append("put in their own names. To have them recognised from now on, type")
        comments.append("`strapline devices --write`.")
    if intake.reference is None:
        comments.append("No reference is known: write role: reference below the strap's file.")
    for r in intake.with_open_start:
        comments.append(f"When did {r.file} begin, to the second? Write below it")
        comments.append("clock: {starts_at: ?}")
    for key, value in (("activity", intake.activity), ("wearer", intake.wearer)):
        if value == UNSTATED:
            comments.append(f"{key}: ?")
    head = "".join(f"# {' '.join(line.split())}\n" for line in comments)
    return head + as_yaml(draft_content(intake, zone, devices))


def _proposed(intake: SessionIntake, devices: Mapping[str, Device]) -> dict[str, str]:
    """A name for each recording whose device has none: a strap's is the only one of the register;
    another's is its file's, without what changes from one export to the next, or the session's."""
    names: dict[str, str] = {}
    taken = {r.device for r in intake.recordings} | set(devices)
    straps = [name for name, device in devices.items() if device.kind in REFERENCE_KINDS]
    for r in intake.recordings:
        if r.set_aside is None and is_unknown(r.device) and r.device_kind in REFERENCE_KINDS:
            names |= {r.recording: straps[0]} if len(straps) == 1 else {}
        if r.set_aside is None and is_unknown(r.device) and r.recording not in names:
            word = stem(r.file)
            telling = word if any(map(str.isalpha, word)) else f"device {intake.session}"
            free = (name for name in numbered(short_slug(telling)) if name not in taken)
            names[r.recording] = next(free)
            taken.add(names[r.recording])
    return names


def _recording(
    recording: RecordingIntake, device: str, zone: str, stated: StatedIntake | None
) -> Recording:
    note = recording.clock_note
    own_time = {"time_zone": None} if note.time_zone == zone else {}
    unsaid = own_time | ({"starts_at": None} if recording.start_assumed else {})
    said = {name: getattr(recording, name) for name in Entry.model_fields}
    own = {
        "device": device,
        "stream": None if recording.source is None else recording.stream,
        "stated": stated.figures if stated else None,
        "clock": note.model_copy(update=unsaid),
    }
    return Recording.model_construct(**said | own)


def _without_file(entry: StatedIntake) -> Recording:
    return Recording.model_construct(
        device=entry.device,
        placement=Placement(entry.placement),
        firmware=entry.firmware,
        stated=entry.figures,
        clock=ClockNote(starts_at=entry.starts_at),
    )
