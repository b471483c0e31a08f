"""Devices that exports are from and the register does not know, with an entry for each."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from strapline.ground.documents import DocumentError, load
from strapline.ground.records.card import Card
from strapline.ground.records.register import Device, Recognition, Register
from strapline.ground.slugs import numbered, short_slug, slug
from strapline.ground.vocabulary import SensorKind
from strapline.ground.words import in_words
from strapline.reading.formats import Identity, read_identity
from strapline.reading.formats.identity import has_known_rule
from strapline.reading.inbox.discovery import SessionFolder
from strapline.reading.session.entries import is_named_after, recognised, stem, with_number
from strapline.reading.session.reference import is_called_a_reference

# Words at the end of a file's name that say what it is, and not whose.
PASSING = ("export", "activity", "workout", "session", "recording")
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


@dataclass(frozen=True)
class _File:
    """A file as it is shown; the device that it is from, as far as known; and whether the card
    says so."""

    shown: str
    path: Path
    identity: Identity
    device: str | None
    by_card: bool = False


def unregistered(
    sessions: Iterable[SessionFolder], register: Register
) -> tuple[list[Seen], list[str]]:
    """The devices, in order of name; and the files whose device nothing tells, each with the
    session's folder. A device's rules fit no file of another in any of the sessions."""
    files = _apart([file for session in sessions for file in _files(session, register)])
    seen, untold = [], [file.shown for file in files if file.device is None]
    for name in sorted({file.device for file in files if file.device} - register.devices.keys()):
        own = [file for file in files if file.device == name]
        rules = {file: _rule(file, files) for file in own}
        told = [f for f in own if f.by_card or rules[f] or _is_told_by_name(f, files)]
        untold += [file.shown for file in own if file not in told]
        if told:
            distinct = tuple(dict.fromkeys(rule for rule in rules.values() if rule))
            device = Device(label=in_words(name), kind=_kind(name), recognise=distinct)
            seen.append(Seen(name, device, tuple(file.shown for file in told)))
    return seen, untold


def _files(session: SessionFolder, register: Register) -> Iterator[_File]:
    of_file, is_whole = _named_by(session)
    identities = [read_identity(path) for path in session.exports]
    alike = [_beginning(*one) for one in zip(session.exports, identities, strict=True)]
    lasting = [_lasting(stem(path.name), session.title) for path in session.exports]
    for path, identity in zip(session.exports, identities, strict=True):
        shown = f"{session.title}/{path.name}"
        if path.name in of_file:
            yield _File(shown, path, identity, of_file[path.name], by_card=True)
        elif not is_whole:
            known = recognised(path.name, identity, register)
            is_alone = alike.count(_beginning(path, identity)) == 1
            word = _lasting(stem(path.name), session.title)
            word = word if lasting.count(word) == 1 else stem(path.name)
            word = word if is_alone else with_number(path.name)
            device = known or _name(word, identity, register)
            yield _File(shown, path, identity, device)


def _beginning(path: Path, identity: Identity) -> tuple[str, str | None, str | None]:
    """How its name begins, and its product where its numbers tell that."""
    known = has_known_rule(identity)
    return stem(path.name), identity.maker if known else None, identity.product if known else None


def _apart(files: Sequence[_File]) -> list[_File]:
    """Files whose names begin alike, but of products that their numbers tell apart, are of devices
    called by these too."""
    products: dict[str | None, set[str | None]] = defaultdict(set)
    for file in files:
        if not file.by_card and has_known_rule(file.identity):
            products[file.device].add(file.identity.product)
    return [
        replace(file, device=f"{file.device}-{slug(file.identity.product or '')}")
        if len(products[file.device]) > 1 and file.identity.product in products[file.device]
        else file
        for file in files
    ]


def _named_by(session: SessionFolder) -> tuple[dict[str, str], bool]:
    """The devices that its card names by file, and whether it names the device of every other."""
    try:
        card = load(session.card, Card) if session.card else Card()
    except DocumentError:
        return {}, True
    of_file = {entry.file: entry.device for entry in card.recordings if entry.file}
    return of_file, bool(card.recordings)


def _lasting(word: str, title: str) -> str:
    """The beginning of a file's name without what at its end is the session's, as far as that is
    not all: 'slate' of 'slate-run' in a session called 'Sunday run'."""
    passing = {*re.findall(r"[^\W\d_]{3,}", title.lower()), *PASSING}
    words = re.split(r"([-_ ]+)", word)
    while len(words) > 1 and words[-1].lower() in passing:
        words = words[:-2]
    return "".join(words)


def _name(word: str, identity: Identity, register: Register) -> str | None:
    """After what the file says of itself, if the FIT profile lists it, else after the `word` that
    its name begins with: if no other of its session begins so without its numbers, else with
    them."""
    if identity.listed and has_known_rule(identity):
        word = identity.listed
    elif not any(map(str.isalpha, word)):
        return None
    return next(name for name in numbered(short_slug(word)) if name not in register.devices)


def _rule(file: _File, files: Sequence[_File]) -> Recognition | None:
    """The first that fits the file and none of another device; None where there is none, or the
    file's name alone tells it."""
    word, known = stem(file.path.name), has_known_rule(file.identity)
    maker, product = file.identity.maker, file.identity.product
    rules = []
    if known:
        rules.append(Recognition(maker=maker, product=product))
    if word:
        rules.append(Recognition(file_name=f"{word}*"))
    if number := with_number(file.path.name):
        rules.append(Recognition(file_name=f"{number}*"))
    if word and known:
        rules.append(Recognition(file_name=f"{word}*", maker=maker, product=product))
    others = [other for other in files if other.device != file.device]
    if not known and _is_told_by_name(file, files):
        return None
    return next((rule for rule in rules if not any(_fits(rule, other) for other in others)), None)


def _is_told_by_name(file: _File, files: Sequence[_File]) -> bool:
    """Whether its name begins with its device's, and that of no other device's file does, unless
    that has a longer one of its own."""

    def begins(one: _File, name: str | None) -> bool:
        return name is not None and is_named_after(one.path.name, name)

    mistaken = (
        other
        for other in files
        if other.device != file.device
        and begins(other, file.device)
        and not (begins(other, other.device) and len(other.device or "") > len(file.device or ""))
    )
    return begins(file, file.device) and not any(mistaken)


def _fits(rule: Recognition, file: _File) -> bool:
    return rule.fits(file.path.name, file.identity.maker, file.identity.product)


def _kind(name: str) -> SensorKind:
    if is_called_a_reference(name):
        return SensorKind.CHEST_STRAP
    return next((KINDS[word] for word in name.split("-") if word in KINDS), SensorKind.WRIST)
