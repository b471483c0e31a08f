"""Sessions of which something cannot be read or written now: what was made of them before stays."""

import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from strapline.keeping.receipts import (
    FOLDER,
    Places,
    files_in,
    others_now,
    page_receipt_path,
    read_receipt,
)
from strapline.reading.inbox.discovery import Inbox, SessionFolder
from strapline.reading.inbox.readable import LeftAlone

# Folders within a session's results.
WRITTEN = ("raw", "screens", "charts")

PERMISSION = "may not be read by you; give yourself the permission (chmod -R u+rX)."


def closed(inbox: Inbox, known: Mapping[str, str], place: Path) -> dict[str, str]:
    """Of the `known` sessions (with the names of their folders in `place`), those that may not be
    read, in whole or in part: a sentence on what is in the way."""
    # Where nothing was left alone, only what is not there can be behind a closed door.
    asked = known if inbox.left_alone else known.keys() - inbox.sessions.keys()
    faults = {name: _fault(place / known[name]) for name in sorted(asked)}
    return {name: fault for name, fault in faults.items() if fault}


def broken(
    inbox: Inbox, known: Mapping[str, str], place: Path, contents: Mapping[Path, str]
) -> dict[str, str]:
    """The same for those that the disk does not give, though they may be read; `contents`: the
    SHA-256 of every file, '' where reading failed."""
    return {
        name: f"{path.relative_to(place)} cannot be read; the disk may be failing."
        for name in sorted(known.keys() & inbox.sessions.keys())
        for path in inbox.sessions[name].raw_files
        if not contents[path]
    }


def locked(inbox: Inbox, places: Places) -> dict[str, str]:
    """The same for those whose results may not be written, in whole or in part."""
    return {
        name: f"{folder} may not be written by you; give yourself the permission (chmod -R u+w)."
        for name in inbox.sessions
        if (folder := _locked(places.results / "sessions" / name))
    }


def without(inbox: Inbox, faults: Mapping[str, str]) -> Inbox:
    """The inbox without these sessions, each left alone with a sentence."""
    said = (f"{name}: {fault}" for name, fault in faults.items())
    sessions = {name: each for name, each in inbox.sessions.items() if name not in faults}
    return replace(
        inbox,
        sessions=sessions,
        left=(*inbox.left, *(LeftAlone(each, each) for each in said)),
        expected=inbox.expected | faults.keys(),
    )


def keeping(inbox: Inbox, titles: Mapping[str, str]) -> Inbox:
    """The inbox with these sessions in it, with the names of their folders, though not all of
    them can be read."""
    kept = {name: SessionFolder(name, title, None, ()) for name, title in titles.items()}
    return replace(inbox, sessions=dict(sorted((kept | inbox.sessions).items())))


def is_whole(session: str, places: Places) -> bool:
    """Whether the results of a session hold its page, and all that its jobs left, as they left
    it: what someone edited is not to count because it cannot be made again."""
    own = files_in(places.results / FOLDER / "sessions" / session)
    found = map(read_receipt, [page_receipt_path(places, session), *own])
    return all(
        receipt is not None and not any(others_now(receipt.outputs, places.sha256_of))
        for receipt in found
    )


def _locked(folder: Path) -> Path | None:
    """The first folder of a session's results that may not be written; None where there is none.
    What someone put in the place of one is moved aside."""
    for each in (folder, *(folder / name for name in WRITTEN)):
        is_folder = each.is_dir() and not (each.is_symlink() or folder.is_symlink())
        if is_folder and not os.access(each, os.W_OK | os.X_OK):
            return each
    return None


def _fault(folder: Path) -> str | None:
    """A sentence on the first thing that may not be read; None also where there is no folder."""
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except PermissionError:
        return f"{folder.name} {PERMISSION}"
    except OSError as error:
        return f"{folder.name} cannot be read ({error.strerror})."
    for entry in entries:
        is_file = entry.is_file(follow_symlinks=False) and not entry.name.startswith(".")
        if is_file and not os.access(entry.path, os.R_OK):
            return f"{folder.name}/{entry.name} {PERMISSION}"
    return None
