"""What in a folder can be read, and a sentence for all that belongs to no session."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from strapline.ground.words import listed

NOT_A_FILE = "is not a file and was not read."


def sorted_out(folder: Path) -> tuple[list[os.DirEntry[str]], dict[str, LeftAlone]]:
    """Files and folders that can be read, in order of name, and for each other name the reason.

    Links are not followed: what they lead to may lie outside the inbox. Names that begin with a
    dot are hidden and not told of.
    """
    with os.scandir(folder) as found:
        entries = sorted((e for e in found if not e.name.startswith(".")), key=lambda e: e.name)
    faults = {entry.name: _left(entry.name, why) for entry in entries if (why := _fault(entry))}
    return [entry for entry in entries if entry.name not in faults], faults


def not_a_file(name: str) -> LeftAlone:
    return _left(name, NOT_A_FILE)


def _left(name: str, why: str) -> LeftAlone:
    shown = name if _is_plain(name) else f"{name!a}"
    return LeftAlone.saying(f"{HERE} {why}", shown, "Something")


def _fault(entry: os.DirEntry[str]) -> str | None:
    if not _is_plain(entry.name):
        return (
            "has unprintable characters, braces or a word in angle brackets in its name; rename it."
        )
    if entry.is_symlink():
        return "is a link and was not read; put in its place what it leads to."
    is_folder = entry.is_dir(follow_symlinks=False)
    if not (is_folder or entry.is_file(follow_symlinks=False)):
        return NOT_A_FILE
    if not os.access(entry.path, os.R_OK | (os.X_OK if is_folder else 0)):
        return "may not be read by you; give yourself the permission (chmod u+rX)."
    return None


def _is_plain(name: str) -> bool:
    """Whether the name can stand in a path, a log line and a database without harm.

    Snakemake replaces words in braces or angle brackets in any path, and knows no way to
    escape them.
    """
    is_text = all(not 0xD800 <= ord(letter) <= 0xDFFF for letter in name)
    return is_text and name.isprintable() and not re.search(r"<\w+>|[{}]", name)


MOST_NAMED = 3
# Where a sentence has the names.
HERE = "{}"


class LeftAlone(NamedTuple):
    """`told` names the files, for whoever started the run. The report says `nameless`, for a file
    may be called after a person."""

    told: str
    nameless: str

    @classmethod
    def saying(cls, text: str, named: str, nameless: str) -> LeftAlone:
        """A sentence that has HERE in place of what is named, or not."""
        return cls(text.replace(HERE, named, 1), text.replace(HERE, nameless, 1))

    def within(self, folder: str) -> LeftAlone:
        return LeftAlone(f"{folder}: {self.told}", f"{folder}: {self.nameless}")


def first_of(names: Sequence[str], most: int = MOST_NAMED) -> str:
    """The first few names, and how many more there are."""
    more = len(names) - most
    return listed([*names[:most], *([f"{more} more"] if more > 0 else [])])
