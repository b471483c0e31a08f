"""The editions in which figures of a session were published."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path

from strapline.ground.files import UnfitResult
from strapline.ground.tables.editions import CHANGES, PUBLISHED
from strapline.ground.tables.table import Table
from strapline.keeping.editions.files import LAST, MOVED, OWN, PARTS
from strapline.keeping.editions.history import Edition, kept, tell_no_changes
from strapline.keeping.receipts import Places, receipt_path
from strapline.running.forgetting.removal import Removal

FOLDER = "editions"
# What is said of the last editions, to be said anew.
TOLD = (
    "results/archive/changes.parquet",
    "results/report/changes.html",
    "results/report/corrections.md",
)


def editions_with(places: Places, session: str) -> tuple[list[Edition], list[Edition]]:
    """The editions that published it, and those that only say that it had been published."""
    history = places.results / FOLDER
    if history.is_symlink():
        return [], []
    own, after = [], []
    for edition in kept(history):
        folder = history / edition.folder
        parts = sorted(folder.glob(f"{PARTS}/*.parquet"))
        if _name(PUBLISHED, [folder / OWN, *parts], session):
            own.append(edition)
        elif _name(CHANGES, [folder / MOVED], session):
            after.append(edition)
    return own, after


def take_editions(
    places: Places, own: Sequence[Edition], after: Sequence[Edition], removal: Removal
) -> list[str]:
    """Take `own` editions away whole, for what is left of one would be one that never was; those
    `after` them stay, without what moved since. The page that shows the last goes, which the next
    run makes anew. The names of all that this touches."""
    history = places.results / FOLDER
    folders = [each for each in (*own, *after) if not (history / each.folder).is_symlink()]
    for edition in folders:
        if edition in own:
            shutil.rmtree(history / edition.folder)
        else:
            tell_no_changes(history, edition)
    removal.take(history / LAST, FOLDER)
    for name in TOLD:
        for path in (places.path_of(name), receipt_path(places, name)):
            removal.take(path, FOLDER)
    return [*TOLD, *(places.name_of(history / each.folder) for each in folders)]


def _name(table: Table, paths: Iterable[Path], session: str) -> bool:
    """Whether one of the files has a row of the session, as one that cannot be read may have."""
    try:
        return any(
            len(table.read(path, "session", session=[session])) > 0
            for path in paths
            if path.is_file()
        )
    except UnfitResult:
        return True
