"""The folders that a run writes in must be its own."""

import os
from collections.abc import Iterator
from pathlib import Path

from strapline.ground.documents import DocumentError

# What is in the place of any other is moved aside, and the folder made again.
KEPT = ("receipts", "set-aside", "editions", ".under_way")
# Within `sessions`, each session stands for itself.
SHARED = ("archive", "parts", "report")


def must_be_own(results: Path) -> None:
    """Raises DocumentError where something else is in the place of a folder, such as a link, which
    may lead to the tester's own; and where one may not be read."""
    mistakes = [*_foreign(results), *_closed(results)]
    if mistakes:
        raise DocumentError(*(f"{mistake} Nothing was changed." for mistake in mistakes))


def _foreign(results: Path) -> Iterator[str]:
    for path in (results / name for name in KEPT):
        if path.is_symlink():
            yield f"{path} is a link, and Strapline writes through no link. Delete it."
        elif path.exists() and not path.is_dir():
            yield f"{path} is not a folder. Delete it, or put it elsewhere."


def _closed(results: Path) -> Iterator[str]:
    tops = [results / name for name in ("sessions", *KEPT, *SHARED)]
    ways = (each for name in SHARED for each in os.walk(results / name))
    below = (Path(way, folder) for way, folders, _ in ways for folder in folders)
    for path in (*tops, *below):
        if path.is_dir() and not os.access(path, os.R_OK | os.X_OK):
            yield f"{path} may not be read by you; give yourself the permission (chmod u+rwX)."
