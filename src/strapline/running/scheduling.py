"""What keeps Snakemake quick over thousands of short jobs.

Each of three habits of Snakemake 9.27 makes a run take time by the square of its jobs. Two more
let workers wait while it writes down what they did. And with one, a run that is told to end may
wait for itself forever.
"""

import signal
import sys
import threading
from collections.abc import Awaitable, Callable
from contextlib import suppress
from functools import wraps
from itertools import islice
from pathlib import Path
from typing import Any

from snakemake.io import _IOFile
from snakemake.jobs import AbstractJob
from snakemake.scheduling.job_scheduler import JobScheduler

# Jobs that are chosen among, besides one for each free core.
AT_ONCE = 8

# Jobs that wait for a worker, for two may be done while Snakemake is busy with a third.
WAITING = 2

ENDING = "\nWhat is under way is being finished. Ctrl-C once more ends the run at once."


def keep_snakemake_quick() -> None:
    """Mend the Snakemake of this process."""
    JobScheduler._schedule_reevalutation = _wake_once
    JobScheduler.open_jobs = property(_some_ready_jobs)
    JobScheduler.remaining_jobs = _only_at_the_end(JobScheduler.remaining_jobs.fget)
    JobScheduler.__init__ = _with_jobs_waiting(_hearing_signals(JobScheduler.__init__))
    _IOFile.checksum = _read_once(_IOFile.checksum)


def _wake_once(scheduler: JobScheduler, delay: float) -> None:
    """Have one timer.

    To keep its limit of jobs a second, the scheduler sets a timer after every round, and each
    that goes off makes a round that sets another: as many rounds a second as there were jobs so
    far. One that is set already is enough.
    """
    if getattr(scheduler, "wakes", False):
        return
    scheduler.wakes = True

    def wake() -> None:
        scheduler.wakes = False
        scheduler._open_jobs.release()

    timer = threading.Timer(delay, wake)
    timer.daemon = True
    timer.start()


def _some_ready_jobs(scheduler: JobScheduler) -> list[AbstractJob]:
    """A few of the jobs that are ready: every round works out anew what each of them needs."""
    enough = AT_ONCE + min(scheduler.resources["_cores"], scheduler.workflow.cores or 1)
    return list(islice(scheduler.workflow.dag.ready_jobs, enough))


def _only_at_the_end(remaining: Callable[..., list[AbstractJob]]) -> property:
    """List the jobs that are still to be done only where none is ready: every round makes that
    list, and the greedy choice does not look at it."""
    return property(
        lambda scheduler: [] if scheduler.workflow.dag.ready_jobs else remaining(scheduler)
    )


def _with_jobs_waiting(begin: Callable[..., None]) -> Callable[..., None]:
    """Let some jobs more than there are cores be on their way, so that a worker that is done has
    the next at hand. How many steps run at once is for the pool of workers."""

    @wraps(begin)
    def begin_with_more(scheduler: JobScheduler, *given: Any, **named: Any) -> None:
        begin(scheduler, *given, **named)
        if scheduler.workflow.local_exec:
            scheduler.resources["_cores"] += WAITING

    return begin_with_more


def _hearing_signals(begin: Callable[..., None]) -> Callable[..., None]:
    """Let the thread that holds the scheduler's lock take it again: the signal to end is heard
    there, whatever it is at, and what is done then takes the lock. Ctrl-C is such a signal; the
    second one ends the run at once."""

    @wraps(begin)
    def begin_hearing(scheduler: JobScheduler, *given: Any, **named: Any) -> None:
        begin(scheduler, *given, **named)
        scheduler._lock = threading.RLock()

        def end(*heard: Any) -> None:
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            print(ENDING, file=sys.stderr)
            scheduler.exit_gracefully()

        # Another thread than the main one hears none.
        with suppress(ValueError):
            signal.signal(signal.SIGINT, end)

    return begin_hearing


def told_to_end(scheduler: JobScheduler) -> bool:
    """Whether it was a signal that ended the run."""
    return bool(scheduler._user_kill)


def _read_once(checksum: Callable[..., Awaitable[str | None]]) -> Callable[..., Any]:
    """Remember the checksum of a file for as long as nothing has written to it.

    With every output of a job, Snakemake notes the checksums of all inputs, and reads each input
    anew for each output: a table of all sessions dozens of times in one run.
    """
    known: dict[tuple[Any, ...], str | None] = {}

    @wraps(checksum)
    async def read_once(file: _IOFile, *given: Any, **named: Any) -> str | None:
        try:
            status = Path(file).stat()
        except OSError:
            return await checksum(file, *given, **named)
        state = (status.st_dev, status.st_ino, status.st_size, status.st_mtime_ns)
        key = (*state, *given, *sorted(named.items()))
        if key not in known:
            known[key] = await checksum(file, *given, **named)
        return known[key]

    return read_once
