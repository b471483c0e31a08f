"""Sessions that are in the inbox twice: to count both would be to count one recording as two."""

import hashlib
from collections.abc import Collection, Mapping
from pathlib import Path

from strapline.reading.inbox.discovery import Inbox, SessionFolder

# What a file without a byte in it has in common with all others.
EMPTY = hashlib.sha256(b"").hexdigest()


def doubles(inbox: Inbox, contents: Mapping[Path, str], known: Collection[str]) -> dict[str, str]:
    """Sessions that hold no other exports than another one does, with a sentence. One of the
    `known` sessions, else the first by name, is the one that counts.

    `contents`: the SHA-256 of every file, '' for one that cannot be read.
    """
    firsts: dict[frozenset[str], str] = {}
    found: dict[str, str] = {}
    for name in sorted(inbox.sessions, key=lambda name: (name not in known, name)):
        exports = _exports(inbox.sessions[name], contents)
        first = firsts.setdefault(exports, name)
        if exports and first != name:
            found[name] = (
                f"It holds the same exports as {first}, and is not counted beside it. Take one of "
                "the two out of the inbox."
            )
    return found


def _exports(session: SessionFolder, contents: Mapping[Path, str]) -> frozenset[str]:
    return frozenset(contents[path] for path in session.exports) - {"", EMPTY}
