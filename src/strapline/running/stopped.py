"""Processes that someone stopped, by SIGSTOP or the like: nothing would ever come of them.

One that is stopped is told from one that takes long by the system itself. All that runs in a
terminal may be stopped together and go on together, so only what stays stopped is ended.
"""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress

import psutil

REPLACED = "A process of this run was stopped from outside. It was ended and replaced."


def end_what_stays_stopped(server: Callable[[], int | None], every_s: float) -> None:
    """Look from now on at the fork server and its workers, in a thread; whoever waits for one that
    is ended sees it die. `server` gives its process, None before there is one."""

    def watch() -> None:
        before: set[int] = set()
        while True:
            time.sleep(every_s)
            stopped = set(_stopped(server()))
            for process in stopped & before:
                with suppress(OSError):
                    os.kill(process, signal.SIGKILL)
                    print(REPLACED, file=sys.stderr)
            before = stopped

    threading.Thread(target=watch, daemon=True).start()


def _stopped(server: int | None) -> Iterator[int]:
    if server is None:
        return
    with suppress(psutil.Error):
        first = psutil.Process(server)
        for process in (first, *first.children()):
            with suppress(psutil.Error):
                if process.status() == psutil.STATUS_STOPPED:
                    yield process.pid
