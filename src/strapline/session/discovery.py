"""What lies in the inbox, told from names alone, within milliseconds a session."""

import hashlib
import os
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from strapline.documents import DocumentError, parse
from strapline.session import card

LONGEST_SLUG = 60


@dataclass(frozen=True)
class SessionFolder:
    """A session's folder: its safe name, its card if it has one, its exports by safe name."""

    name: str
    title: str
    folder: Path
    card: Path | None
    exports: dict[str, Path]


@dataclass(frozen=True)
class Inbox:
    """The sessions, in order of name, and a sentence for all that was left alone."""

    sessions: dict[str, SessionFolder]
    left_alone: tuple[str, ...]


def read_inbox(inbox: Path) -> Inbox:
    """The inbox as it is now; an inbox that is not there yet is empty."""
    if not inbox.is_dir():
        return Inbox({}, ())
    folders: list[os.DirEntry[str]] = []
    left_alone: list[str] = []
    for entry in _entries(inbox):
        if not _is_plain(entry.name):
            left_alone.append(_cannot_name(entry.name))
        elif entry.is_dir():
            folders.append(entry)
        else:
            left_alone.append(
                f"{entry.name} lies directly in the inbox; put it in a folder of its session."
            )
    names = unique_slugs([folder.name for folder in folders])
    sessions: dict[str, SessionFolder] = {}
    for entry in folders:
        session, unusable = _read_folder(names[entry.name], Path(entry.path))
        sessions[session.name] = session
        left_alone += [f"{entry.name}: {sentence}" for sentence in unusable]
    return Inbox(dict(sorted(sessions.items())), tuple(left_alone))


def _read_folder(name: str, folder: Path) -> tuple[SessionFolder, list[str]]:
    entries = _entries(folder)
    files = [e for e in entries if _is_plain(e.name) and e.is_file() and e.name != card.FILE_NAME]
    taken = {entry.name for entry in files} | {card.FILE_NAME}
    unusable = [
        f"{entry.name} is not a file and was not read."
        if _is_plain(entry.name)
        else _cannot_name(entry.name)
        for entry in entries
        if entry.name not in taken
    ]
    slugs = unique_slugs([entry.name for entry in files], by_stem=True)
    exports = {slugs[entry.name]: Path(entry.path) for entry in files}
    card_path = folder / card.FILE_NAME
    session = SessionFolder(
        name, folder.name, folder, card_path if card_path.is_file() else None, exports
    )
    return session, unusable


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    with os.scandir(folder) as found:
        return sorted((e for e in found if not e.name.startswith(".")), key=lambda e: e.name)


def _is_plain(name: str) -> bool:
    """Whether the name can stand in a path, a log line and a database without harm."""
    return name.isprintable() and all(not 0xD800 <= ord(letter) <= 0xDFFF for letter in name)


def _cannot_name(name: str) -> str:
    return f"{name!a} has a name with unprintable characters; rename it."


def unique_slugs(names: Iterable[str], by_stem: bool = False) -> dict[str, str]:
    """A safe, distinct path part for each name; the same set of names gives the same slugs.

    With `by_stem` a file's ending is used only where it is needed to tell names apart. Names
    that come out alike in every way get a hash of the name.
    """
    names = list(names)
    whole = {name: slug(name) for name in names}
    stems = {name: slug(Path(name).stem) for name in names} if by_stem else whole
    of_stem, of_whole = Counter(stems.values()), Counter(whole.values())
    slugs = {}
    for name in names:
        if of_stem[stems[name]] == 1:
            slugs[name] = stems[name]
        elif of_whole[whole[name]] == 1 and whole[name] not in of_stem:
            slugs[name] = whole[name]
        else:
            slugs[name] = f"{whole[name][: LONGEST_SLUG - 9].strip('-')}-{_hash(name)}"
    return slugs


def slug(name: str) -> str:
    """Lower-case ASCII letters, digits and single dashes; never empty, at most 60 long."""
    ascii_only = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    dashed = re.sub(r"[^a-z0-9]+", "-", ascii_only).strip("-")
    if not dashed:
        return f"x-{_hash(name)}"
    if len(dashed) > LONGEST_SLUG:
        return f"{dashed[: LONGEST_SLUG - 9].strip('-')}-{_hash(name)}"
    return dashed


def _hash(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:8]


def devices_named(card_path: Path | None) -> set[str] | None:
    """Devices the card names, or None where it does not name them all and rules must help.

    Only a look, for deciding what a session depends on; the card is validated at intake.
    """
    if card_path is None:
        return None
    try:
        content = parse(card_path)
    except DocumentError:
        return None
    recordings = content.get("recordings") if isinstance(content, dict) else None
    if not isinstance(recordings, list) or not recordings:
        return None
    named = [r.get("device") if isinstance(r, dict) else None for r in recordings]
    return {str(name) for name in named}
