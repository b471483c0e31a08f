"""One run at a time over the same results.

Snakemake's own lock is a file that stays when a run is killed, and then nothing runs until it is
removed by hand. This one is held by the process itself and ends with it, however it ends.
"""

import fcntl
import os
from pathlib import Path
from typing import BinaryIO

from strapline.ground.documents import DocumentError
from strapline.running.machine import told

FILE_NAME = ".run"


def hold(results: Path) -> BinaryIO:
    """The lock on `results`, held for as long as what is returned stays open.

    Raises DocumentError if another run holds it, or the folder cannot be written.
    """
    try:
        results.mkdir(parents=True, exist_ok=True)
        # Not through a link, which may lead to a file of the user's own.
        flags = os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW
        lock = os.fdopen(os.open(results / FILE_NAME, flags, 0o666), "r+b", buffering=0)
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        lock.truncate(0)
        lock.write(str(os.getpid()).encode())
    except BlockingIOError:
        raise DocumentError([_busy(results)]) from None
    except OSError as error:
        raise DocumentError([f"{results}: {told(error) or error}"]) from None
    return lock


def must_be_at_rest(results: Path) -> None:
    """Raises DocumentError while a run is at work in `results`: what is half made there would
    look like a mistake."""
    try:
        with (results / FILE_NAME).open("rb") as lock:
            fcntl.flock(lock, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        raise DocumentError(
            [f"A {_holder(results)}. Wait until it is done, and type the command again."]
        ) from None
    except FileNotFoundError:
        pass


def _busy(results: Path) -> str:
    return f"Another {_holder(results)}. Wait until it is done; this one has changed nothing."


def _holder(results: Path) -> str:
    holder = (results / FILE_NAME).read_text("ascii", "replace")
    process = f" (process {holder})" if holder.isdecimal() else ""
    return f"run is at work in {results}{process}"
