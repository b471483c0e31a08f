"""Devices that exports are from and the register does not know, with an entry for each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.documents import DocumentError
from strapline.ground.records.card import Card, load_card
from strapline.ground.records.register import Device, Recognition, Register
from strapline.ground.slugs import slug
from strapline.ground.vocabulary import SensorKind
from strapline.ground.words import in_words
from strapline.reading.formats import Identity, read_identity
from strapline.reading.formats.identity import has_known_rule
from strapline.reading.inbox.discovery import SessionFolder
from strapline.reading.session.entries import is_named_after, recognised
from strapline.reading.session.reference import is_called_a_reference
from strapline.reading.session.roles import LONGEST_NAME
from strapline.reading.session.stem import stem

# Where a word of its name says that it is not for the wrist.
ELSEWHERE = (SensorKind.FINGER, SensorKind.EAR, SensorKind.ARM)
KINDS = {str(kind): kind for kind in ELSEWHERE} | {
    "ring": SensorKind.FINGER,
    "armband": SensorKind.ARM,
}


@dataclass(frozen=True)
class Seen:
    """A device, `name` and all, that the register could have; `files`: those it was seen in."""

    name: str
    device: Device
    files: tuple[str, ...]


def unregistered(
    sessions: Iterable[SessionFolder], register: Register
) -> tuple[list[Seen], list[str]]:
    """The devices, in order of name; and the files whose device nothing tells, each with the
    session's folder."""
    files: dict[tuple[str, Recognition | None], list[str]] = defaultdict(list)
    untold = []
    for session in sessions:
        of_file, is_whole = _named_by(session)
        stems = [stem(path.name) for path in session.exports]
        for path in session.exports:
            shown = f"{session.title}/{path.name}"
            if path.name in of_file or is_whole:
                device = of_file.get(path.name)
                if device and device not in register.devices:
                    files[device, _rule(device, path, Identity())].append(shown)
                continue
            identity = read_identity(path)
            if recognised(path.name, identity, register):
                continue
            name = _name(path, identity, stems)
            if name:
                files[name, _rule(name, path, identity)].append(shown)
            else:
                untold.append(shown)
    return list(_joined(files)), untold


def _joined(files: dict[tuple[str, Recognition | None], list[str]]) -> Iterator[Seen]:
    """Each name once, with all its rules."""
    for name in sorted({name for name, _ in files}):
        rules = [rule for known, rule in files if known == name and rule]
        shown = [file for (known, _), own in files.items() if known == name for file in own]
        device = Device(label=in_words(name), kind=_kind(name), recognise=tuple(rules))
        yield Seen(name, device, tuple(shown))


def _named_by(session: SessionFolder) -> tuple[dict[str, str], bool]:
    """The devices that its card names by file, and whether it names the device of every other."""
    try:
        card = load_card(session.card) if session.card else Card()
    except DocumentError:
        return {}, True
    of_file = {entry.file: entry.device for entry in card.recordings if entry.file}
    return of_file, bool(card.recordings)


def _name(path: Path, identity: Identity, stems: Sequence[str]) -> str | None:
    """After what the file says of itself, if the FIT profile lists it, else after its name; that of
    several files of one session tells no device. `stems`: those of the session's files."""
    if identity.listed and has_known_rule(identity):
        return slug(identity.listed)[:LONGEST_NAME].strip("-")
    word = stem(path.name)
    is_telling = any(map(str.isalpha, word)) and stems.count(word) == 1
    return slug(word)[:LONGEST_NAME].strip("-") if is_telling else None


def _rule(name: str, path: Path, identity: Identity) -> Recognition | None:
    """None where the file's name alone tells the device."""
    if has_known_rule(identity):
        return Recognition(maker=identity.maker, product=identity.product)
    word = stem(path.name)
    return (
        Recognition(file_name=f"{word}*") if word and not is_named_after(path.name, name) else None
    )


def _kind(name: str) -> SensorKind:
    if is_called_a_reference(name):
        return SensorKind.CHEST_STRAP
    return next((KINDS[word] for word in name.split("-") if word in KINDS), SensorKind.WRIST)
