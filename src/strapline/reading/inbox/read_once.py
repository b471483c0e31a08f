"""What was read of each file in the inbox, kept between runs: a file is read once, until its size
or its times tell that it is another."""

from collections.abc import Callable, Collection
from pathlib import Path
from typing import Generic, NamedTuple, TypeVar

from pydantic import BaseModel, RootModel

from strapline.ground.files import keep_note, model_at, write_model

Found = TypeVar("Found")


class State(NamedTuple):
    """Size in bytes, and times in nanoseconds; `status_ns` is the time of change that no program
    can set."""

    size: int
    changed_ns: int
    status_ns: int


class Entry(BaseModel, Generic[Found]):
    """A file as it was when read, by what means, and what was found; None if it could not be."""

    state: State
    read_by: str
    found: Found | None


class Entries(RootModel[dict[str, Entry[Found]]], Generic[Found]):
    """By path within the inbox."""


class ReadOnce(Generic[Found]):
    """`kept`: the JSON file where it stays, of the kind `entries`; `read` reads one file, None
    where it cannot; what was read by other means than `read_by` is read again."""

    def __init__(
        self,
        inbox: Path,
        kept: Path,
        entries: type[Entries[Found]],
        read: Callable[[Path], Found | None],
        read_by: str = "",
    ) -> None:
        self._inbox, self._kept, self._entries = inbox, kept, entries
        self._read, self._read_by = read, read_by
        self._known = _known(kept, entries)
        self._seen: dict[str, Entry[Found]] = {}

    def of(self, path: Path) -> Found | None:
        """What is in a file; what could not be read is tried again."""
        now = state_of(path)
        if now is None:
            return None
        name = path.relative_to(self._inbox).as_posix()
        entry, as_now = self._known.get(name), (now, self._read_by)
        if entry is None or entry.found is None or (entry.state, entry.read_by) != as_now:
            entry = Entry[Found](state=now, read_by=self._read_by, found=self._read(path))
        self._seen[name] = entry
        return entry.found

    def keep(self) -> None:
        """Of the files that were asked for."""
        if self._seen != self._known:
            keep_note(self._kept, self._entries(self._seen))


def forget(kept: Path, files: Collection[str]) -> None:
    """Keep no more of these files, by their paths within the inbox."""
    known = _known(kept, Entries[object])
    if not known.keys().isdisjoint(files):
        left = {name: entry for name, entry in known.items() if name not in files}
        write_model(kept, Entries[object](left))


def state_of(path: Path) -> State | None:
    """None where there is no such file."""
    try:
        status = path.stat()
    except OSError:
        return None
    return State(status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def _known(kept: Path, entries: type[Entries[Found]]) -> dict[str, Entry[Found]]:
    known = model_at(kept, entries)
    return known.root if known else {}
