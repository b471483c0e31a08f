"""The raw files' contents, by which their changes are told, and which are still being written.

File times do not tell: a copy can keep an old time, a device's clock or a time zone can put one
in the future, and Snakemake goes by times. So every file is hashed, and read for that only if its
size or times are others than before.
"""

import os
import time
from collections.abc import Collection, Iterable
from contextlib import suppress
from pathlib import Path

from pydantic import BaseModel, RootModel, ValidationError

from strapline.ground.digest import sha256_of
from strapline.ground.files import write_model

# A file that changed so lately is looked at twice, so far apart.
LATELY_S = 5.0
APART_S = 1.0


class Seen(BaseModel):
    """A file as it was when read; `status_ns` is the time of change that no program can set."""

    size: int
    changed_ns: int
    status_ns: int
    sha256: str | None = None


class AllSeen(RootModel[dict[str, Seen]]):
    """By path within the inbox."""


def contents(files: Collection[Path], inbox: Path, kept: Path) -> dict[Path, str]:
    """The SHA-256 of each file, '' for one that cannot be read; what was read stays in `kept`."""
    known = _known(kept)
    seen = {
        path.relative_to(inbox).as_posix(): _seen(path, known.get(str(path.relative_to(inbox))))
        for path in files
    }
    if seen != known:
        # It only saves time; a full or read-only disk is told of where results are written.
        with suppress(OSError):
            kept.parent.mkdir(parents=True, exist_ok=True)
            write_model(kept, AllSeen(seen))
    return {path: seen[path.relative_to(inbox).as_posix()].sha256 or "" for path in files}


def forget(kept: Path, files: Collection[str]) -> None:
    """Keep no more of these files, by their paths within the inbox."""
    known = _known(kept)
    if not known.keys().isdisjoint(files):
        write_model(
            kept, AllSeen({name: seen for name, seen in known.items() if name not in files})
        )


def being_copied(inbox: Path) -> set[Path]:
    """The files in the inbox and its folders that grow or change while they are looked at."""
    now = time.time()
    before = {
        path: status
        for path in _files(inbox)
        if (status := _status(path)) and abs(now - status.status_ns / 1e9) < LATELY_S
    }
    if not before:
        return set()
    time.sleep(APART_S)
    return {path for path, status in before.items() if _status(path) != status}


def _files(inbox: Path) -> Iterable[Path]:
    for folder, _, names in os.walk(inbox):
        for name in names:
            if not name.startswith("."):
                yield Path(folder, name)


def _status(path: Path) -> Seen | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return Seen(size=status.st_size, changed_ns=status.st_mtime_ns, status_ns=status.st_ctime_ns)


def _seen(path: Path, known: Seen | None) -> Seen:
    now = _status(path)
    if now is None:
        return Seen(size=0, changed_ns=0, status_ns=0)
    # What could not be read is tried again.
    if known and known.sha256 and now == known.model_copy(update={"sha256": None}):
        return known
    return now.model_copy(update={"sha256": sha256_of(path)})


def _known(kept: Path) -> dict[str, Seen]:
    try:
        return AllSeen.model_validate_json(kept.read_bytes()).root
    except (OSError, ValidationError):
        return {}
