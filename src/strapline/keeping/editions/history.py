"""The editions kept on disk: one folder each, never changed once made."""

import datetime as dt
import filecmp
import hashlib
import os
import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

import pandas as pd
import pyarrow as pa
from pydantic import Field

from strapline.ground.documents import Strict
from strapline.ground.files import model_at, sha256_of, write_model
from strapline.ground.tables.editions import CHANGES, PUBLISHED
from strapline.keeping.editions.causes import causes, told
from strapline.keeping.editions.compare import changes, counts, differing, redefined
from strapline.keeping.editions.files import LAST, MOVED, OWN, PARTS, RECORD
from strapline.keeping.editions.in_force import InForce
from strapline.keeping.editions.published import mark_in, read_kept, write_published
from strapline.keeping.provenance import canonical
from strapline.keeping.receipts import files_in

_NUMBERED = re.compile(r"([0-9]{4,9})-[0-9a-f]{8}")


class Edition(Strict, extra="ignore"):
    """Which edition it is, and what moved since the one before.

    fingerprint: of all figures and sentences, in the parts that they are kept in; same_as: the
    number of an earlier edition that said the same; moved: rows of CHANGES by kind.
    """

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
    """`edition.json`: the edition, what was in force, and the SHA-256 of its other files, by name.
    That is as long as the archive has sessions, so it is read only where it is asked for."""

    in_force: InForce
    files: dict[str, str] = Field(default_factory=dict)


class Last(Strict):
    """`in_force.json`: what was in force in the last run, and the folder of the edition that was
    the latest then."""

    edition: str
    in_force: InForce


def kept(history: Path) -> list[Edition]:
    """The editions in a folder, oldest first; what says that it is one and cannot be read is
    passed over."""
    found = ((path.parent, model_at(path, Edition)) for path in history.glob(f"*/{RECORD}"))
    own = [each for folder, each in found if each and folder.name == each.folder]
    return sorted(own, key=lambda each: (each.number, each.folder))


def keep(
    history: Path, own: pd.DataFrame, parts: Mapping[str, Path], now: InForce
) -> list[Edition]:
    """Keep what is published as a new edition, unless the latest says the same; all editions up
    to that, oldest first. `own`: what is said over all sessions, a frame under PUBLISHED; `parts`:
    files of what is said of each session, as `write_published` leaves them.

    What is in force is noted either way, so that a change of code that moved nothing is not held
    against the next figures that move.
    """
    editions, differ = kept(history), None
    history.mkdir(parents=True, exist_ok=True)
    with unfinished(history) as folder:
        write_published(own, folder / OWN)
        (folder / PARTS).mkdir()
        for name, path in parts.items():
            shutil.copyfile(path, folder / PARTS / f"{name}.parquet")
        # One that is not whole any more is compared with by nobody.
        while editions and (differ := _what_differs(history, editions[-1], folder)) is None:
            editions.pop()
        if differ is None:
            editions.append(_finished(folder, editions, CHANGES.empty(), "", now))
        elif any(map(len, differ)):
            share(history / editions[-1].folder, folder)
            then = _last_in_force(history, editions[-1]) or now
            found = causes(then, now)
            moved = changes(*differ, found, redefined(then, now))
            editions.append(_finished(folder, editions, moved, told(found), now))
    write_model(history / LAST, Last(edition=editions[-1].folder, in_force=now))
    return editions


def changes_of(history: Path, edition: Edition) -> pd.DataFrame:
    """What moved from the edition before it, a frame under CHANGES."""
    return CHANGES.read(history / edition.folder / MOVED)


def moved_in(history: Path, folders: Sequence[str]) -> list[pd.DataFrame]:
    """What moved in each of these editions, a frame under CHANGES; none in one that cannot be
    read."""
    return [_moved_in(history / folder / MOVED) for folder in folders]


def _moved_in(path: Path) -> pd.DataFrame:
    with suppress(OSError, ValueError, pa.ArrowException):
        return CHANGES.read(path)
    return CHANGES.empty()


def _what_differs(
    history: Path, edition: Edition, after: Path
) -> tuple[pd.DataFrame, pd.DataFrame] | None:
    """The rows of an edition and of what is in the folder `after` that are not the same in both;
    None where the edition is not whole.

    Most parts of a large archive are not read for that, for they have the same mark, and the
    others one at a time.
    """
    before, new = history / edition.folder, _marks(after)
    try:
        old = _marks(before)
        CHANGES.read(before / MOVED)
        # Those of before there were parts have no marks.
        if old[OWN] is not None and _fingerprint(old) != edition.fingerprint:
            return None
        pairs = [
            differing(
                read_kept(before / name) if name in old else PUBLISHED.empty(),
                read_kept(after / name) if name in new else PUBLISHED.empty(),
            )
            for name in sorted(old.keys() | new.keys())
            if new.get(name) is None or new.get(name) != old.get(name)
        ]
    except (OSError, ValueError, pa.ArrowException):
        return None
    # Where a part was divided, a session is now in another.
    return differing(*(PUBLISHED.joined([pair[side] for pair in pairs]) for side in (0, 1)))


def share(before: Path, after: Path) -> None:
    """Let files that are equal to the byte take room once, where the disk knows hard links."""
    for part in after.glob(f"{PARTS}/*.parquet"):
        same = before / PARTS / part.name
        is_apart = same.is_file() and not same.is_symlink() and not same.samefile(part)
        if is_apart and filecmp.cmp(same, part, shallow=False):
            linked = part.with_suffix(".linked")
            with suppress(OSError):
                os.link(same, linked)
                linked.replace(part)


def _marks(folder: Path) -> dict[str, str | None]:
    """The marks of an edition's files, by name."""
    files = published_in(folder)
    return {file.relative_to(folder).as_posix(): mark_in(file) for file in files}


def published_in(folder: Path) -> list[Path]:
    """The files of what an edition published."""
    return [folder / OWN, *sorted(folder.glob(f"{PARTS}/*.parquet"))]


def marked(folder: Path) -> str:
    """The fingerprint of an edition, of the marks of what it published."""
    return _fingerprint(_marks(folder))


def sums(folder: Path) -> dict[str, str]:
    """The SHA-256 of each of its files, by name."""
    return {p.relative_to(folder).as_posix(): sha256_of(p) or "" for p in files_in(folder)}


def _fingerprint(marks: Mapping[str, str | None]) -> str:
    return hashlib.sha256(canonical(marks).encode()).hexdigest()


def _finished(
    folder: Path, editions: list[Edition], moved: pd.DataFrame, why: str, now: InForce
) -> Edition:
    """Number the edition in `folder` and give the folder its name."""
    mark = marked(folder)
    CHANGES.write(moved, folder / MOVED)
    record = Record(
        number=_next_number(folder.parent),
        fingerprint=mark,
        made_at=dt.datetime.now(dt.UTC).replace(microsecond=0),
        same_as=max((e.number for e in editions if e.fingerprint == mark), default=None),
        moved=counts(moved),
        why=why,
        in_force=now,
        files=sums(folder),
    )
    write_model(folder / RECORD, record)
    folder.rename(folder.with_name(record.folder))
    return record


def _next_number(history: Path) -> int:
    """After all that were given, also to editions that cannot be read any more."""
    given = [_NUMBERED.fullmatch(path.name) for path in history.iterdir()]
    return max((int(number[1]) for number in given if number), default=0) + 1


@contextmanager
def unfinished(history: Path) -> Iterator[Path]:
    """A folder that is gone afterwards, unless it was given another name."""
    folder = history / ".unfinished"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _last_in_force(history: Path, latest: Edition) -> InForce | None:
    """Since the edition was made code may have changed that moved nothing. None where nothing that
    can be read says what was in force."""
    last = model_at(history / LAST, Last)
    if last and last.edition == latest.folder:
        return last.in_force
    record = model_at(history / latest.folder / RECORD, Record)
    return record.in_force if record else None
