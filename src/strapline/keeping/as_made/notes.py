"""What each job left: the size and time of every file, so that a change of any is seen at a glance.

A note is only ever made of files whose contents are what the job's receipt says. Where all of a
job's files are as noted, its receipt is not opened and nothing is read.
"""

import os
import stat
from collections.abc import Iterable, Mapping
from pathlib import PurePosixPath
from typing import NamedTuple

from pydantic import BaseModel

# Size in bytes and time of last change in nanoseconds.
State = tuple[int, int]
# Of a folder, whose size and time say nothing.
FOLDER: State = (-1, -1)


class Job(NamedTuple):
    """A job by what it is to make: the names of its outputs (see `Places`), and whether each is a
    folder. It is called by the first of them."""

    stage: str
    outputs: dict[str, bool]

    @property
    def name(self) -> str:
        return next(iter(self.outputs))


class Note(BaseModel, frozen=True):
    """`method`: the stage's fingerprint; `sha256`: by name, of the files of the inbox that it read,
    and of what it left where there is no receipt; `files`: all that it left, its receipt and
    output folders among them, by name."""

    method: str
    sha256: dict[str, str]
    files: dict[str, State]


def within(name: str, folder: str) -> bool:
    """Whether it is that, or in it."""
    return name == folder or name.startswith(f"{folder}/")


def ways(names: Iterable[str]) -> set[tuple[str, ...]]:
    """The folders on the way to each file, outermost first: 'results/sessions', then
    'results/sessions/first'. The results themselves are none of them: they may be a link, to
    where the tester has put them."""
    folders = {name.rpartition("/")[0] for name in names}
    return {tuple(map(str, reversed(PurePosixPath(f"{f}/x").parents)))[2:] for f in folders}


def in_the_way(results: str, names: Iterable[str]) -> set[str]:
    """Where one of these names should lie in a folder, what there is in that folder's place: a
    file, or a link wherever it leads. No job made it."""

    def is_no_folder(name: str) -> bool:
        return is_there(results, name) and state_of(results, name) != FOLDER

    above = {next(filter(is_no_folder, way), None) for way in ways(names)}
    return {name for name in above if name}


def states(results: str, names: Iterable[str]) -> dict[str, State]:
    """Those of the files with these names that are there."""
    found = {name: state_of(results, name) for name in names}
    return {name: state for name, state in found.items() if state}


def as_noted(results: str, files: Mapping[str, State]) -> bool:
    return all(state_of(results, name) == state for name, state in files.items())


def state_of(results: str, name: str) -> State | None:
    """None where there is neither a file nor a folder; a link is neither, wherever it leads, nor
    is a file that its owner may not read."""
    try:
        status = os.lstat(_path(results, name))
    except OSError:
        return None
    if stat.S_ISREG(status.st_mode) and status.st_mode & stat.S_IRUSR:
        return status.st_size, status.st_mtime_ns
    return FOLDER if stat.S_ISDIR(status.st_mode) else None


def is_there(results: str, name: str) -> bool:
    """Whatever it is, a link that leads nowhere too."""
    return os.path.lexists(_path(results, name))


def _path(results: str, name: str) -> str:
    return f"{results}{name.removeprefix('results')}"
