"""What in a folder can be read, and a sentence for all that cannot."""

import os
import re
from pathlib import Path

from strapline.reading.inbox.left_alone import HERE, LeftAlone

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
