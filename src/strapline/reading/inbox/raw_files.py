"""The raw files' contents, by which their changes are told, and sessions that are in the inbox
twice; and which files are still being written.

File times do not tell: a copy can keep an old time, a device's clock or a time zone can put one
in the future, and Snakemake goes by times. So every file is hashed, and read for that only if its
size or times are others than before.
"""

import hashlib
import os
import time
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

from strapline.ground.files import sha256_of
from strapline.reading.inbox.discovery import Inbox
from strapline.reading.inbox.read_once import Entries, ReadOnce, state_of

# A file that changed so lately is looked at twice, so far apart.
LATELY_S = 5.0
APART_S = 1.0
# What a file without a byte in it has in common with all others.
EMPTY = hashlib.sha256(b"").hexdigest()


def contents(files: Collection[Path], inbox: Path, kept: Path) -> dict[Path, str]:
    """The SHA-256 of each file, '' for one that cannot be read; what was read stays in `kept`."""
    read = ReadOnce(inbox, kept, Entries[str], sha256_of)
    found = {path: read.of(path) or "" for path in files}
    read.keep()
    return found


def being_copied(inbox: Path) -> set[Path]:
    """The files in the inbox and its folders that grow or change while they are looked at."""
    now = time.time()
    before = {
        path: state
        for path in _files(inbox)
        if (state := state_of(path)) and abs(now - state.status_ns / 1e9) < LATELY_S
    }
    if not before:
        return set()
    time.sleep(APART_S)
    return {path for path, state in before.items() if state_of(path) != state}


def _files(inbox: Path) -> Iterable[Path]:
    for folder, _, names in os.walk(inbox):
        for name in names:
            if not name.startswith("."):
                yield Path(folder, name)


def doubles(inbox: Inbox, contents: Mapping[Path, str], known: Collection[str]) -> dict[str, str]:
    """Sessions that hold no other exports than another one does, with a sentence: to count both
    would be to count one recording as two. One of the `known` sessions, else the first by name, is
    the one that counts.

    `contents`: the SHA-256 of every file, '' for one that cannot be read.
    """
    firsts: dict[frozenset[str], str] = {}
    found: dict[str, str] = {}
    for name in sorted(inbox.sessions, key=lambda name: (name not in known, name)):
        read = {contents[path] for path in inbox.sessions[name].exports}
        exports = frozenset(read - {"", EMPTY})
        first = firsts.setdefault(exports, name)
        if exports and first != name:
            found[name] = (
                f"It holds the same exports as {first}, and is not counted beside it. Take one of "
                "the two out of the inbox."
            )
    return found
