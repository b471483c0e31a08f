"""The bytes of a raw file, read once: what is made of them is of the same bytes as their hash."""

import os
import stat
from pathlib import Path

from strapline.reading.formats.export import MOST_BYTES, UnreadableExport


def content_of(path: str | os.PathLike[str]) -> bytes:
    """All that the file at `path` holds. Raises UnreadableExport for what is no file, or none of a
    session's size, or cannot be read."""
    try:
        _refuse_unsuitable(Path(path).stat())
        with Path(path).open("rb") as file:
            return file.read()
    except OSError as error:
        reason = error.strerror or "unknown error"
        raise UnreadableExport(f"The file cannot be opened or read ({reason}).") from error


def _refuse_unsuitable(status: os.stat_result) -> None:
    # Opening a pipe or a device could wait for ever.
    if not stat.S_ISREG(status.st_mode):
        raise UnreadableExport("This is not a file; put the export itself in the session's folder.")
    if status.st_size == 0:
        raise UnreadableExport("The file is empty; export the session again.")
    if status.st_size > MOST_BYTES:
        raise UnreadableExport(
            f"The file is larger than {MOST_BYTES // 1024**2} MiB; export this session alone."
        )
