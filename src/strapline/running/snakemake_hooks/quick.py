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
from functools import partial, wraps
from itertools import islice
from pathlib import Path
from typing import Any

from strapline.running.snakemake_hooks.in_order import InOrder
from strapline.running.snakemake_hooks.mending import Mend, Mending

SCHEDULER = "snakemake.scheduling.job_scheduler:JobScheduler"

# Jobs that are chosen among, besides one for each free core.
AT_ONCE = 8

# Jobs that wait for a worker, for two may be done while Snakemake is busy with a third.
WAITING = 2

ENDING = "\nWhat is under way is being finished. Ctrl-C once more ends the run at once."


def mends(mending: Mending) -> tuple[Mend, ...]:
    """Each of use without the others."""
    begun = "(self, workflow, executor_plugin, scheduler, greedy_scheduler_settings)"
    read = "async (self, threshold, force, algorithm)"
    quick = Quick(mending)
    return (
        Mend(SCHEDULER, "_schedule_reevalutation", "(self, delay)", quick.with_one_timer),
        Mend(SCHEDULER, "open_jobs", "property (self)", quick.some_ready_jobs),
        Mend(SCHEDULER, "remaining_jobs", "property (self)", quick.only_at_the_end),
        Mend(SCHEDULER, "__init__", begun, quick.begun_otherwise),
        Mend("snakemake.io:_IOFile", "checksum", read, read_once),
    )


def told_to_end(scheduler: Any) -> bool:
    """Whether it was a signal that ended the run."""
    return bool(getattr(scheduler, "_user_kill", None))


class Quick:
    def __init__(self, mending: Mending) -> None:
        self._trying = mending.trying

    def with_one_timer(self, schedule: Callable[[Any, float], None]) -> Callable[..., None]:
        """Have one timer.

        To keep its limit of jobs a second, the scheduler sets a timer after every round, and each
        that goes off makes a round that sets another: as many rounds a second as there were jobs
        so far. One that is set already is enough.
        """

        @wraps(schedule)
        def schedule_once(scheduler: Any, delay: float) -> None:
            if getattr(scheduler, "wakes", False):
                return
            with self._trying("JobScheduler._open_jobs"):
                _wake(scheduler, delay, scheduler._open_jobs.release)
                return
            schedule(scheduler, delay)

        return schedule_once

    def some_ready_jobs(self, ready: Callable[[Any], list[Any]]) -> Callable[[Any], list[Any]]:
        """A few of the jobs that are ready: every round works out anew what each of them needs."""

        @wraps(ready)
        def some_ready(scheduler: Any) -> list[Any]:
            with self._trying("DAG.ready_jobs"):
                free = min(scheduler.resources["_cores"], scheduler.workflow.cores or 1)
                return list(islice(scheduler.workflow.dag.ready_jobs, AT_ONCE + free))
            return ready(scheduler)

        return some_ready

    def only_at_the_end(self, remaining: Callable[[Any], list[Any]]) -> Callable[[Any], list[Any]]:
        """List the jobs that are still to be done only where none is ready: every round makes that
        list, and the greedy choice does not look at it."""

        @wraps(remaining)
        def remaining_at_the_end(scheduler: Any) -> list[Any]:
            with self._trying("DAG.ready_jobs"):
                if scheduler.workflow.dag.ready_jobs:
                    return []
            return remaining(scheduler)

        return remaining_at_the_end

    def begun_otherwise(self, begin: Callable[..., None]) -> Callable[..., None]:
        @wraps(begin)
        def begin_otherwise(scheduler: Any, *given: Any, **named: Any) -> None:
            begin(scheduler, *given, **named)
            with self._trying("JobScheduler.resources"):
                _let_jobs_wait(scheduler)
            with self._trying("DAG._ready_jobs"):
                dag = scheduler.workflow.dag
                dag._ready_jobs = InOrder(dag._ready_jobs, partial(_number, dag))
            with self._trying("JobScheduler.exit_gracefully"):
                _hear_signals(scheduler)

        return begin_otherwise


def _number(dag: Any, job: Any) -> int:
    """Snakemake's number of a job; of a group, which is called by a text, the highest in it."""
    number = dag.jobid(job)
    return number if isinstance(number, int) else max(map(dag.jobid, job))


def _wake(scheduler: Any, delay: float, release: Callable[[], None]) -> None:
    def wake() -> None:
        scheduler.wakes = False
        release()

    scheduler.wakes = True
    timer = threading.Timer(delay, wake)
    timer.daemon = True
    timer.start()


def _let_jobs_wait(scheduler: Any) -> None:
    """Let some jobs more than there are cores be on their way, so that a worker that is done has
    the next at hand. How many steps run at once is for the pool of workers."""
    if scheduler.workflow.local_exec:
        scheduler.resources["_cores"] += WAITING


def _hear_signals(scheduler: Any) -> None:
    """Let the thread that holds the scheduler's lock take it again: the signal to end is heard
    there, whatever it is at, and what is done then takes the lock. Ctrl-C is such a signal; the
    second one ends the run at once."""
    finish, _ = scheduler.exit_gracefully, scheduler._lock
    scheduler._lock = threading.RLock()

    def end(*heard: Any) -> None:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        print(ENDING, file=sys.stderr)
        finish()

    # Another thread than the main one hears none.
    with suppress(ValueError):
        signal.signal(signal.SIGINT, end)


def read_once(checksum: Callable[..., Awaitable[str | None]]) -> Callable[..., Any]:
    """Remember the checksum of a file for as long as nothing has written to it.

    With every output of a job, Snakemake notes the checksums of all inputs, and reads each input
    anew for each output: a table of all sessions dozens of times in one run.
    """
    known: dict[tuple[Any, ...], str | None] = {}

    @wraps(checksum)
    async def read_once(file: Any, *given: Any, **named: Any) -> str | None:
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
