"""One run at a time over the same results.

Snakemake's own lock is a file that stays when a run is killed, and then nothing runs until it is
removed by hand. This one is held by the process itself and ends with it, however it ends.
"""

import fcntl
import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from strapline.documents import DocumentError
from strapline.machine import told

FILE_NAME = ".run"


def hold(results: Path) -> BinaryIO:
    """The lock on `results`, held for as long as what is returned stays open.

    Raises DocumentError if another run holds it, or the folder cannot be written.
    """
    try:
        results.mkdir(parents=True, exist_ok=True)
        lock = (results / FILE_NAME).open("a+b", buffering=0)
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        lock.truncate(0)
        lock.write(str(os.getpid()).encode())
    except BlockingIOError:
        raise DocumentError([_busy(results)]) from None
    except OSError as error:
        raise DocumentError([f"{results}: {told(error) or error}"]) from None
    return lock


def _busy(results: Path) -> str:
    holder = (results / FILE_NAME).read_text("ascii", "replace")
    process = f" (process {holder})" if holder.isdecimal() else ""
    return (
        f"Another run is at work in {results}{process}. Wait until it is done; this one has "
        "changed nothing."
    )


def not_after(results: Path, now_ns: int) -> None:
    """Date the files under `results` back until none is dated after `now_ns`, where the clock was
    set back: all by as much, since Snakemake goes by which is the older. What is made from one
    of the future would seem older than it is, and Snakemake would refuse it.
    """
    ahead = max((time_ns for _, time_ns in _times(results)), default=now_ns) - now_ns
    if ahead > 0:
        for path, time_ns in list(_times(results)):
            with suppress(FileNotFoundError):
                os.utime(path, ns=(time_ns - ahead, time_ns - ahead), follow_symlinks=False)


def _times(folder: str | Path) -> Iterator[tuple[str, int]]:
    """Every file below with its time; one that goes meanwhile is left out, for the last worker of
    a killed run may be at its last job."""
    with suppress(FileNotFoundError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                yield from _times(entry.path)
            else:
                with suppress(FileNotFoundError):
                    yield entry.path, entry.stat(follow_symlinks=False).st_mtime_ns
