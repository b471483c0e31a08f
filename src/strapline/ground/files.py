"""Writing a file whole or not at all, reading what was so written, and its SHA-256."""

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from strapline.ground.documents import DocumentError

Result = TypeVar("Result", bound=BaseModel)


class UnfitResult(DocumentError):
    """A file of the results that is not as this version of Strapline makes it, and why."""

    def __init__(self, path: str | os.PathLike[str], reason: str) -> None:
        what = "is not as this version of Strapline makes it"
        super().__init__(f"{path} {what} ({reason}). Type `snakemake` to write it again.")
        self.path, self.reason = path, reason

    def __reduce__(self) -> tuple[Any, ...]:
        """A worker's error goes to the run in this form."""
        return type(self), (self.path, self.reason)


@contextmanager
def written_whole(path: str | os.PathLike[str]) -> Iterator[Path]:
    """A temporary name beside `path` to write under. It becomes `path` if all goes well, and
    is removed if not: no reader sees half a file, and a full disk keeps none."""
    unfinished = unfinished_name(Path(path))
    try:
        yield unfinished
        unfinished.replace(path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise


def unfinished_name(path: Path) -> Path:
    """Hidden, so that what reads a folder of tables as one table passes it over."""
    return path.with_name(f".{path.name}.unfinished")


def write_bytes(path: str | os.PathLike[str], content: bytes) -> None:
    with written_whole(path) as unfinished:
        unfinished.write_bytes(content)


def write_text(path: str | os.PathLike[str], text: str) -> None:
    """Write `text` as UTF-8; lone surrogates, which UTF-8 cannot hold, become '?'."""
    write_bytes(path, text.encode("utf-8", "replace"))


def write_model(path: str | os.PathLike[str], model: BaseModel) -> None:
    """Write a model as JSON that a person can read."""
    write_text(path, model.model_dump_json(indent=1) + "\n")


def keep_note(path: str | os.PathLike[str], model: BaseModel) -> None:
    """Write what only saves time: a full or read-only disk is told of where results are written."""
    with suppress(OSError):
        Path(path).parent.mkdir(parents=True, exist_ok=True)
        write_model(path, model)


def model_at(path: str | os.PathLike[str], kind: type[Result]) -> Result | None:
    """What `write_model` wrote; None where nothing is there, or something else."""
    try:
        return kind.model_validate_json(Path(path).read_bytes())
    except (OSError, ValueError):
        return None


def read_model(path: str | os.PathLike[str], kind: type[Result]) -> Result:
    """What `write_model` wrote. Raises UnfitResult where it is no such thing."""
    try:
        return kind.model_validate_json(Path(path).read_bytes())
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(map(str, first["loc"]))
        reason = f"{place}: {first['msg']}" if place else first["msg"]
        raise UnfitResult(path, reason) from error


def sha256_of(path: str | os.PathLike[str]) -> str | None:
    """The SHA-256 of a file; None where it cannot be read."""
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None
