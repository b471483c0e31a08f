"""One run at a time over the same results.

Snakemake's own lock is a file that stays when a run is killed, and then nothing runs until it is
removed by hand. This one is held by the process itself and ends with it, however it ends.
"""

import fcntl
import os
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from strapline.documents import DocumentError
from strapline.machine import told
from strapline.under_way import FOLDER

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

    Every job changes the folder of notes, so where that is not of the future, nothing is.
    """
    last_job = _changed_ns(results / FOLDER)
    if last_job is not None and last_job <= now_ns:
        return
    files = [Path(folder, name) for folder, _, names in os.walk(results) for name in names]
    times = {path: time_ns for path in files if (time_ns := _changed_ns(path)) is not None}
    ahead = max(times.values(), default=now_ns) - now_ns
    if ahead > 0:
        for path, time_ns in times.items():
            with suppress(FileNotFoundError):
                os.utime(path, ns=(time_ns - ahead, time_ns - ahead), follow_symlinks=False)


def _changed_ns(path: Path) -> int | None:
    """None for a file that is gone: the last worker of a killed run may be at its last job."""
    try:
        return path.lstat().st_mtime_ns
    except FileNotFoundError:
        return None
