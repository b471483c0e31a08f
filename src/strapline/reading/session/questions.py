"""What no file can know of a session, asked of the tester, and a card made of the answers."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from strapline.ground.records.intake import RecordingIntake, SessionIntake, is_unknown
from strapline.ground.tables.recordings import FIRST_STREAM
from strapline.ground.vocabulary import UNSTATED, WORN_AT, Placement, Role
from strapline.ground.words import plain
from strapline.reading.session.draft import draft_content

WEARER, ACTIVITY, REFERENCE = "wearer", "activity", "reference"
DEVICE, PLACEMENT, FIRMWARE = "device", "placement", "firmware"


@dataclass(frozen=True)
class Question:
    """`key`: what an answer is given under; `choices`: the words it may be, if they are limited, or
    that were used before."""

    key: str
    text: str
    choices: tuple[str, ...] = ()


def questions(
    intake: SessionIntake, devices: Collection[str], wearers: Collection[str]
) -> Iterator[Question]:
    """In the order in which a person thinks of them. `devices`: the register's; `wearers`: those of
    other sessions."""
    if intake.wearer == UNSTATED:
        yield Question(WEARER, "Who wore the devices?", tuple(wearers))
    if intake.activity == UNSTATED:
        yield Question(ACTIVITY, "What was done, such as run or intervals?")
    usable = [entry for entry in intake.recordings if entry.set_aside is None]
    for entry in usable:
        if is_unknown(entry.device):
            key = f"{entry.recording}.{DEVICE}"
            yield Question(key, f"Which device is {plain(entry.file)} from?", tuple(devices))
    if intake.reference is None:
        names = tuple(entry.recording for entry in usable)
        yield Question(REFERENCE, "Which recording is the strap's?", names)
    for entry in usable:
        if entry.role == Role.TEST and entry.placement == Placement.OTHER:
            key = f"{entry.recording}.{PLACEMENT}"
            places = WORN_AT.get(entry.device_kind, tuple(Placement))
            yield Question(key, f"Where was {plain(entry.label)} worn?", places)
    for entry in usable:
        if entry.role == Role.TEST and entry.firmware is None:
            key = f"{entry.recording}.{FIRMWARE}"
            yield Question(key, f"Which firmware did {plain(entry.label)} have?")


def card_content(intake: SessionIntake, answers: Mapping[str, str], zone: str) -> dict[str, Any]:
    """What was inferred, with the answers in their places; as in the draft, a device that nobody
    named is called after its file. zone: the settings'."""
    said = {key: answers[key] for key in (ACTIVITY, WEARER) if key in answers}
    content = draft_content(intake, zone) | said
    entries = [e for e in intake.recordings if e.set_aside is None or e.leave_out]
    recordings = content.pop("recordings", [])
    for place, entry in enumerate(entries):
        recordings[place] = _answered(entry, recordings[place], answers)
    first = {key: content.pop(key) for key in (ACTIVITY, WEARER) if key in content}
    return first | {"recordings": recordings} | content


def is_answered(key: str, intake: SessionIntake, card: Mapping[str, Any]) -> bool:
    """Whether a card says what a question asks, though it was not read yet."""
    entries = card.get("recordings", ())
    if key == REFERENCE:
        return any(entry.get("role") == Role.REFERENCE for entry in entries)
    recording, _, own = key.rpartition(".")
    asked = [entry for entry in intake.recordings if entry.recording == recording]
    if not asked:
        return own in card
    of = asked[0].model_dump(include={"file", "device", "stream"})
    return any(own in entry for entry in entries if _is_for(entry, of))


def completed(card: Mapping[str, Any], made: Mapping[str, Any]) -> dict[str, Any]:
    """What a card says and, where it is silent, what was made of answers."""
    left, entries = list(card.get("recordings", ())), []
    for own in made["recordings"]:
        said = next((entry for entry in left if _is_for(entry, own)), None)
        entries.append(own | (said or {}))
        left = [entry for entry in left if entry is not said]
    return {**made, **card, "recordings": [*entries, *left]}


def _is_for(entry: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether an entry of a card is for the same recording as another, which says its stream where
    its file has several. Without a file it is for its device's."""
    if "file" not in entry:
        return bool(entry["device"] == other["device"])
    stream = entry.get("stream") in (None, other.get("stream", FIRST_STREAM))
    return stream and bool(entry["file"] == other.get("file"))


def _answered(
    entry: RecordingIntake, known: dict[str, Any], answers: Mapping[str, str]
) -> dict[str, Any]:
    own = {
        key: answers[f"{entry.recording}.{key}"]
        for key in (DEVICE, PLACEMENT, FIRMWARE)
        if f"{entry.recording}.{key}" in answers
    }
    is_reference = answers.get(REFERENCE) == entry.recording
    return known | own | ({"role": Role.REFERENCE} if is_reference else {})
