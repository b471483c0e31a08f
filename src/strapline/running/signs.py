"""Signs of life: who is at work in the results, told to every host that shares their folder.

A lock of the system's own ends with its process, but need not reach another host. So whoever holds
one of these files also writes it anew every few seconds, and looks whether it still may.
"""

from __future__ import annotations

import fcntl
import os
import socket
import sys
import threading
import time
from collections.abc import Callable, Collection
from contextlib import suppress
from pathlib import Path

import psutil
from pydantic import ValidationError

from strapline.ground.documents import Strict

BEAT_S = 5.0
# Who has been silent for so long is no more.
SILENT_S = 30.0


class Who(Strict):
    """`job`: the number that a cluster gave it; `token`: the run's, also in signs of its shares."""

    host: str
    process: int
    job: str
    token: str

    @property
    def told(self) -> str:
        where = "" if self.host == socket.gethostname() else f" on {self.host}"
        job = f"job {self.job}, " if self.job else ""
        return f"{job}process {self.process}{where}"


def oneself(token: str) -> Who:
    return Who(
        host=socket.gethostname(),
        process=os.getpid(),
        job=os.environ.get("SLURM_JOB_ID", ""),
        token=token,
    )


class Sign:
    """A file held by this process for as long as it is not closed. Raises BlockingIOError where
    another holds it, or another OSError."""

    def __init__(self, path: Path) -> None:
        self.path = path
        # Not through a link, which may lead to a file of the user's own.
        self._file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o666)
        self._closed = threading.Event()
        # Once closed, its number may be another file's.
        self._writing = threading.Lock()
        self._beats = 0
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(self._file)
            raise

    def write(self, who: Who) -> None:
        """Always as many bytes, so that who reads meanwhile finds no gap."""
        with self._writing:
            if self._closed.is_set():
                return
            self._beats += 1
            text = f"{who.model_dump_json()}\n{self._beats:09}\n".encode()
            if self._beats == 1:
                os.ftruncate(self._file, 0)
            os.pwrite(self._file, text, 0)
            os.fsync(self._file)

    def keep(self, who: Who, may: Callable[[], bool], ended: Callable[[], None]) -> None:
        """Write it every few seconds, in a thread, for as long as one `may`; if not, `ended`."""

        def beat() -> None:
            while not self._closed.wait(BEAT_S):
                if not may():
                    ended()
                    return
                # A full disk is told of where results are written.
                with suppress(OSError):
                    self.write(who)

        threading.Thread(target=beat, daemon=True).start()

    def close(self) -> None:
        """Leave it empty: nobody need wait to see that nobody is there."""
        with self._writing:
            if not self._closed.is_set():
                self._closed.set()
                with suppress(OSError):
                    os.ftruncate(self._file, 0)
                os.close(self._file)

    def remove(self) -> None:
        self.path.unlink(missing_ok=True)
        self.close()

    def __enter__(self) -> Sign:
        return self

    def __exit__(self, *raised: object) -> None:
        self.close()


class Beats:
    """Whether a sign is still its holder's, as seen by someone else, and was not silent long."""

    def __init__(self, path: Path, token: str) -> None:
        self._path = path
        self._token = token
        self._text = b""
        self._since = time.monotonic()

    def go_on(self) -> bool:
        now = time.monotonic()
        try:
            text = self._path.read_bytes()
        except FileNotFoundError:
            return False
        except OSError:
            text = self._text  # storage that hosts share may fail for a moment
        if text != self._text:
            self._text, self._since = text, now
        who = _who(text)
        return who is not None and who.token == self._token and now - self._since < SILENT_S


def holder(path: Path) -> Who | None:
    """Who wrote the sign; None where nobody did."""
    return _who(_text(path))


def _who(text: bytes) -> Who | None:
    with suppress(ValidationError):
        return Who.model_validate_json(text.partition(b"\n")[0])
    return None


def living(paths: Collection[Path]) -> dict[Path, Who]:
    """Those of the signs whose holder is at work. On this host it is known at once; of a silent one
    from another it takes a while."""
    held = {path: who for path in paths if _is_held(path) and (who := holder(path))}
    return held | beating([path for path in paths if path not in held])


def beating(paths: Collection[Path]) -> dict[Path, Who]:
    """Those of the signs from other hosts that are written anew."""
    silent = {
        path: _text(path)
        for path in paths
        if (who := holder(path)) and who.host != socket.gethostname()
    }
    if silent:
        hosts = ", ".join(sorted({who.host for path in silent if (who := holder(path))}))
        print(
            f"Looking whether {hosts} is still at work here: {SILENT_S:.0f} s at most.",
            file=sys.stderr,
        )
    found: dict[Path, Who] = {}
    until = time.monotonic() + SILENT_S
    while silent and time.monotonic() < until:
        time.sleep(1)
        for path in [path for path, text in silent.items() if _text(path) != text]:
            del silent[path]
            found |= {path: who} if (who := holder(path)) else {}
    return found


def _is_held(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except OSError:
        pass
    return False


def _text(path: Path) -> bytes:
    """Opened anew, for only then does a host ask the one that keeps the file."""
    with suppress(OSError):
        return path.read_bytes()
    return b""


def end_at_once(sentence: str, leaving: Path | None = None) -> None:
    """End this process, and before it all that it started, so that nothing writes on; and then
    remove the sign that said so."""
    children = psutil.Process().children(recursive=True)
    for child in children:
        with suppress(psutil.Error):
            child.kill()
    psutil.wait_procs(children, timeout=SILENT_S)
    if leaving is not None:
        leaving.unlink(missing_ok=True)
    os.write(2, f"\n{sentence}\n".encode())
    os._exit(1)
