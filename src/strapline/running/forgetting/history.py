"""The editions in which figures of a session were published."""

from __future__ import annotations

import shutil
from pathlib import Path

from strapline.ground.files import UnfitResult
from strapline.ground.tables.editions import CHANGES, PUBLISHED
from strapline.keeping.editions.files import LAST, MOVED, OWN, PARTS
from strapline.keeping.editions.history import Edition, kept
from strapline.keeping.receipts import Places, receipt_path
from strapline.running.forgetting.removal import Removal

FOLDER = "editions"
# What is said of the last editions, to be said anew.
TOLD = (
    "results/archive/changes.parquet",
    "results/report/changes.html",
    "results/report/corrections.md",
)


def editions_with(places: Places, session: str) -> list[Edition]:
    """The editions that name it: among what was published, or among what moved."""
    history = places.results / FOLDER
    if history.is_symlink():
        return []
    return [e for e in kept(history) if _names(history / e.folder, session)]


def take_editions(places: Places, editions: list[Edition], removal: Removal) -> None:
    """Take whole editions away, for what is left of one would be one that never was; and the page
    that shows the last, which the next run makes anew."""
    history = places.results / FOLDER
    for edition in editions:
        folder = history / edition.folder
        if not folder.is_symlink():
            shutil.rmtree(folder)
    removal.take(history / LAST, FOLDER)
    for name in TOLD:
        for path in (places.path_of(name), receipt_path(places, name)):
            removal.take(path, FOLDER)


def _names(folder: Path, session: str) -> bool:
    tables = [(PUBLISHED, folder / OWN), (CHANGES, folder / MOVED)]
    tables += [(PUBLISHED, path) for path in sorted(folder.glob(f"{PARTS}/*.parquet"))]
    try:
        return any(
            len(table.read(path, "session", session=[session])) > 0
            for table, path in tables
            if path.is_file()
        )
    except UnfitResult:
        return True
