"""The editions kept on disk: one folder each, never changed once made."""

import datetime as dt
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pandas as pd
import pyarrow as pa
from pydantic import ValidationError

from strapline.editions.causes import causes, told
from strapline.editions.compare import changes, counts
from strapline.editions.in_force import InForce, Model
from strapline.editions.published import mark_of
from strapline.files import write_model
from strapline.tables.editions import CHANGES, PUBLISHED
from strapline.tables.table import about

RECORD, FIGURES, MOVED = "edition.json", "published.parquet", "changes.parquet"
LAST = "in_force.json"


class Edition(Model):
    """`edition.json`: which edition it is, what moved since the one before, and what was in force.

    fingerprint: of all figures and sentences; same_as: the number of an earlier edition that
    said the same; moved: rows of CHANGES by kind.
    """

    number: int
    fingerprint: str
    made_at: dt.datetime
    same_as: int | None
    moved: dict[str, int]
    why: str
    in_force: InForce

    @property
    def folder(self) -> str:
        return f"{self.number:04}-{self.fingerprint[:8]}"


def kept(history: Path) -> list[Edition]:
    """The editions in a folder, oldest first. One whose files are not whole is passed over."""
    found = [_read(path) for path in sorted(history.glob(f"*/{RECORD}"))]
    return sorted((edition for edition in found if edition), key=lambda edition: edition.number)


def keep(history: Path, table: pd.DataFrame, now: InForce) -> None:
    """Keep a frame under PUBLISHED as a new edition, unless the latest says the same.

    What is in force is noted either way, so that a change of code that moved nothing is not held
    against the next figures that move.
    """
    editions = kept(history)
    history.mkdir(parents=True, exist_ok=True)
    mark = mark_of(table)
    if not editions or mark not in (editions[-1].fingerprint, _mark_now(history, editions[-1])):
        _add(history, editions, table, mark, now)
    write_model(history / LAST, now)


def latest_changes(history: Path) -> pd.DataFrame:
    """What moved from the edition before the latest to the latest."""
    return CHANGES.read(history / kept(history)[-1].folder / MOVED)


def _add(
    history: Path, editions: list[Edition], table: pd.DataFrame, mark: str, now: InForce
) -> None:
    moved, why = CHANGES.empty(), ""
    if editions:
        found = causes(_last_in_force(history, editions[-1]), now)
        before = PUBLISHED.read(history / editions[-1].folder / FIGURES)
        moved, why = changes(before, table, found), told(found)
    edition = Edition(
        number=editions[-1].number + 1 if editions else 1,
        fingerprint=mark,
        made_at=dt.datetime.now(dt.UTC).replace(microsecond=0),
        same_as=max((e.number for e in editions if e.fingerprint == mark), default=None),
        moved=counts(moved),
        why=why,
        in_force=now,
    )
    with _made_whole(history / edition.folder) as folder:
        PUBLISHED.write(table, folder / FIGURES)
        CHANGES.write(moved, folder / MOVED)
        write_model(folder / RECORD, edition)


@contextmanager
def _made_whole(target: Path) -> Iterator[Path]:
    """A folder that becomes `target` if all goes well, and is removed if not."""
    unfinished = target.with_name(".unfinished")
    shutil.rmtree(unfinished, ignore_errors=True)
    unfinished.mkdir()
    try:
        yield unfinished
        shutil.rmtree(target, ignore_errors=True)
        unfinished.rename(target)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise


def _mark_now(history: Path, edition: Edition) -> str:
    """An edition's fingerprint as it is reckoned now, which may be otherwise than it was then."""
    return mark_of(PUBLISHED.read(history / edition.folder / FIGURES))


def _last_in_force(history: Path, latest: Edition) -> InForce:
    try:
        return InForce.model_validate_json((history / LAST).read_bytes())
    except (OSError, ValidationError):
        return latest.in_force


def _read(record: Path) -> Edition | None:
    try:
        edition = Edition.model_validate_json(record.read_bytes())
        # Whether they are whole shows at their ends; to read all of every edition takes long.
        for table in (FIGURES, MOVED):
            about(record.parent / table)
    except (OSError, ValueError, pa.ArrowException):
        return None
    return edition if record.parent.name == edition.folder else None
