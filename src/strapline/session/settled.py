"""Sessions that need not be looked at again.

Snakemake asks of each of its jobs, a dozen a session, whether something changed: minutes for years
of sessions, every time. So a run notes, at its end, of each session that is up to date what it was
made from and what files it has. Where the next run finds both as they were, the session is
settled and its jobs are left out. Of all others, Snakemake decides as ever.
"""

import hashlib
import os
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from pydantic import BaseModel, RootModel, ValidationError

from strapline.files import write_model
from strapline.provenance import canonical

# What a session was made from besides the inbox, given the devices that its card names.
MethodOf = Callable[[tuple[str, ...] | None], str]


class Seal(BaseModel):
    """`sources` and `method`: hashes of what the session is made from, in the inbox and besides;
    `devices`: those its card names, if it names them all; `files`: size and time of each, in
    nanoseconds, by path within the results."""

    sources: str
    method: str
    devices: tuple[str, ...] | None
    files: dict[str, tuple[int, int]]


class Seals(RootModel[dict[str, Seal]]):
    """By session."""


def kept_seals(path: Path) -> dict[str, Seal]:
    """None where there is no such file, or it holds something else."""
    try:
        return Seals.model_validate_json(path.read_bytes()).root
    except (OSError, ValidationError):
        return {}


def keep_seals(path: Path, seals: Mapping[str, Seal]) -> None:
    """They only save time: a full or read-only disk is told of where results are written."""
    with suppress(OSError):
        write_model(path, Seals(dict(seals)))


def settled(
    seals: Mapping[str, Seal], sources: Mapping[str, str], method_of: MethodOf, results: str
) -> frozenset[str]:
    """The sessions of `sources` that are in `results` what they were when they were sealed."""
    return frozenset(
        session
        for session, found in sources.items()
        if (seal := seals.get(session))
        and seal.sources == found
        and seal.method == method_of(seal.devices)
        and all(_status(f"{results}/{path}") == status for path, status in seal.files.items())
    )


def sealed(
    sources: str,
    devices: tuple[str, ...] | None,
    method_of: MethodOf,
    results: str,
    files: Iterable[Path],
) -> Seal:
    """The seal of a session that is up to date now, with all its `files` in `results`."""
    states = {os.path.relpath(path, results): _status(path) for path in files}
    return Seal(
        sources=sources,
        method=method_of(devices),
        devices=devices,
        files={path: status for path, status in states.items() if status},
    )


def hashed(value: object) -> str:
    """One short string for a JSON-able value."""
    return hashlib.sha256(canonical(value).encode()).hexdigest()[:16]


def _status(path: str | os.PathLike[str]) -> tuple[int, int] | None:
    try:
        status = os.stat(path)  # noqa: PTH116, since hundreds of thousands are asked for
    except OSError:
        return None
    return status.st_size, status.st_mtime_ns
