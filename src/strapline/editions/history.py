"""The editions kept on disk: one folder each, never changed once made."""

import datetime as dt
import hashlib
import os
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

import pandas as pd
import pyarrow as pa
from pydantic import ConfigDict, ValidationError

from strapline.editions.causes import causes, told
from strapline.editions.compare import changes, counts, differing
from strapline.editions.in_force import InForce, Model
from strapline.editions.published import mark_in, write_published
from strapline.files import write_model
from strapline.provenance import canonical
from strapline.tables.editions import CHANGES, PUBLISHED
from strapline.tables.table import about

RECORD, MOVED = "edition.json", "changes.parquet"
OWN, PARTS = "published.parquet", "parts"
LAST = "in_force.json"


class Edition(Model):
    """Which edition it is, and what moved since the one before.

    fingerprint: of all figures and sentences; same_as: the number of an earlier edition that
    said the same; moved: rows of CHANGES by kind.
    """

    model_config = ConfigDict(extra="ignore", frozen=True)

    number: int
    fingerprint: str
    made_at: dt.datetime
    same_as: int | None
    moved: dict[str, int]
    why: str

    @property
    def folder(self) -> str:
        return f"{self.number:04}-{self.fingerprint[:8]}"


class Record(Edition):
    """`edition.json`: the edition, and what was in force. That is as long as the archive has
    sessions, so it is read only where it is asked for."""

    in_force: InForce


def kept(history: Path) -> list[Edition]:
    """The editions in a folder, oldest first. One that cannot be read is passed over, and so is the
    latest where its files are not whole."""
    found = [_read(path) for path in history.glob(f"*/{RECORD}")]
    editions = sorted((edition for edition in found if edition), key=lambda each: each.number)
    while editions and not _is_whole(history / editions[-1].folder):
        editions.pop()
    return editions


def keep(
    history: Path, own: pd.DataFrame, parts: Mapping[str, Path], now: InForce
) -> list[Edition]:
    """Keep what is published as a new edition, unless the latest says the same; all editions,
    oldest first. `own`: what is said over all sessions, a frame under PUBLISHED; `parts`: files of
    what is said of each session, as `write_published` leaves them.

    What is in force is noted either way, so that a change of code that moved nothing is not held
    against the next figures that move.
    """
    editions = kept(history)
    latest = editions[-1] if editions else None
    history.mkdir(parents=True, exist_ok=True)
    with _unfinished(history) as folder:
        write_published(own, folder / OWN)
        (folder / PARTS).mkdir()
        for name, path in parts.items():
            part = f"{PARTS}/{name}.parquet"
            _put(path, folder / part, history / latest.folder / part if latest else None)
        if latest is None:
            editions.append(_finished(folder, editions, CHANGES.empty(), "", now))
        elif any(map(len, differ := _what_differs(history / latest.folder, folder))):
            found = causes(_last_in_force(history, latest), now)
            editions.append(_finished(folder, editions, changes(*differ, found), told(found), now))
    write_model(history / LAST, now)
    return editions


def changes_of(history: Path, edition: Edition) -> pd.DataFrame:
    """What moved from the edition before it, a frame under CHANGES."""
    return CHANGES.read(history / edition.folder / MOVED)


def _put(part: Path, target: Path, before: Path | None) -> None:
    """What the edition before has too takes no room again, where the disk knows hard links."""
    if before is not None and before.exists() and mark_in(before) == mark_in(part):
        with suppress(OSError):
            os.link(before, target)
            return
    shutil.copyfile(part, target)


def _what_differs(before: Path, after: Path) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The rows of two editions that are not the same in both. Most parts of a large archive are
    not read for that, for they have the same mark, and the others one at a time."""
    old, new = _marks(before), _marks(after)
    pairs = [
        differing(
            PUBLISHED.read(before / name) if name in old else PUBLISHED.empty(),
            PUBLISHED.read(after / name) if name in new else PUBLISHED.empty(),
        )
        for name in sorted(old.keys() | new.keys())
        if new.get(name) is None or new.get(name) != old.get(name)
    ]
    # Where a part was divided, a session is now in another.
    return differing(*(PUBLISHED.joined([pair[side] for pair in pairs]) for side in (0, 1)))


def _marks(folder: Path) -> dict[str, str | None]:
    """The marks of an edition's files, by name."""
    files = [folder / OWN, *sorted(folder.glob(f"{PARTS}/*.parquet"))]
    return {str(file.relative_to(folder)): mark_in(file) for file in files}


def _finished(
    folder: Path, editions: list[Edition], moved: pd.DataFrame, why: str, now: InForce
) -> Edition:
    """Number the edition in `folder` and give the folder its name."""
    mark = hashlib.sha256(canonical(_marks(folder)).encode()).hexdigest()
    record = Record(
        number=_next_number(folder.parent),
        fingerprint=mark,
        made_at=dt.datetime.now(dt.UTC).replace(microsecond=0),
        same_as=max((e.number for e in editions if e.fingerprint == mark), default=None),
        moved=counts(moved),
        why=why,
        in_force=now,
    )
    CHANGES.write(moved, folder / MOVED)
    write_model(folder / RECORD, record)
    target = folder.with_name(record.folder)
    shutil.rmtree(target, ignore_errors=True)
    folder.rename(target)
    return record


def _next_number(history: Path) -> int:
    """After all that were given, also to editions that cannot be read any more."""
    given = [re.match(r"\d+(?=-)", path.name) for path in history.iterdir()]
    return max((int(number[0]) for number in given if number), default=0) + 1


@contextmanager
def _unfinished(history: Path) -> Iterator[Path]:
    """A folder that is gone afterwards, unless it was given another name."""
    folder = history / ".unfinished"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _last_in_force(history: Path, latest: Edition) -> InForce:
    try:
        return InForce.model_validate_json((history / LAST).read_bytes())
    except (OSError, ValidationError):
        return Record.model_validate_json((history / latest.folder / RECORD).read_bytes()).in_force


def _read(record: Path) -> Edition | None:
    try:
        edition = Edition.model_validate_json(record.read_bytes())
    except (OSError, ValueError):
        return None
    return edition if record.parent.name == edition.folder else None


def _is_whole(folder: Path) -> bool:
    """Whether all tables have their end."""
    try:
        _marks(folder)
        about(folder / MOVED)
    except (OSError, ValueError, pa.ArrowException):
        return False
    return True
