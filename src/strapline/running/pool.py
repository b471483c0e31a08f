"""Where steps run: warm worker processes that have imported what steps need."""

import importlib
import multiprocessing
import os
import signal
import sys
import threading
import time
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures import wait as wait_for_futures
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from importlib.machinery import ModuleSpec
from multiprocessing import forkserver
from multiprocessing.connection import wait
from multiprocessing.context import ForkServerContext
from pathlib import Path
from typing import Any

import psutil

from strapline.keeping.as_made.notes import Note
from strapline.keeping.receipts import Order
from strapline.running.garbage import search_seldom
from strapline.running.machine import died, told
from strapline.running.stopped import end_what_stays_stopped
from strapline.running.under_way import under_way

# A worker is one thread, for there is one for every core. (Sums by several threads could also
# come out differently from one machine to another.)
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}

# As many as the steps of one session can use; more are started when they are needed.
AT_FIRST = 4

# Bytes in memory of one worker beyond which all are replaced. What draws for those who publish
# grows with every picture, and gives nothing back.
LARGEST = 600 * 2**20

# Seconds after which it is looked whether those that a job is waited for are still alive.
LOOK_EVERY_S = 3.0

# The longest that a process takes to die.
DYING_S = 2.0

# Fork servers that are asked for one worker.
MOST_SERVERS = 3


class Pool:
    """A pool of warm workers. When one dies, or has grown large, all are replaced."""

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._executor: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()
        self._alone = threading.Lock()

    def prepare(self) -> None:
        """Begin to import what steps need, while it is still being found out whether any is to
        run."""
        end_what_stays_stopped(_server, LOOK_EVERY_S)
        _context()
        forkserver.ensure_running()

    def start(self) -> None:
        """Begin to start workers, while it is still being found out which steps are to run."""
        # In a thread, for a worker is there only when all imports are done. A run that has no
        # step for them waits for it nevertheless: workers that are half there when it goes
        # would complain.
        threading.Thread(target=self._start).start()

    def _start(self) -> None:
        # The run may have ended in the meantime; what else is wrong, the first step will say.
        with suppress(Exception):
            for _ in range(min(self._workers, AT_FIRST)):
                self._submit(_nothing)

    def perform(self, order: Order, arguments: dict[str, Any]) -> Note:
        """Run `strapline.running.stages.<stage>.run(**arguments)` in a worker, wait for it and
        its receipt, and give a note of what it left.

        Raises what the step raises, or MachineTrouble where the fault is the disk's or a
        permission's. When a worker dies, every job in the pool is broken, so each is tried once
        more, in a worker that no other job can take down; if that dies too, MachineTrouble.
        """
        note: Note
        executor = None
        try:
            executor, task = self._submit(_perform, order, arguments)
            note, in_memory = task.result()
            if in_memory > LARGEST:
                self._discard(executor)
            return note
        except BrokenProcessPool:
            if executor:
                self._discard(executor)
        with self._alone:
            try:
                alone, task = _started(1, _perform, order, arguments)
                with alone:
                    note, _ = task.result()
                return note
            except BrokenProcessPool as error:
                raise died(order.stage) from error

    def end(self) -> None:
        """End all workers when no job is left: one that is stuck, as for lack of memory, would be
        waited for forever."""
        for process in multiprocessing.active_children():
            process.kill()

    def _submit(self, *what: Any) -> tuple[ProcessPoolExecutor, "Task"]:
        """Ask for it to be done; also who took it, for by then there may be another. Raises
        BrokenProcessPool where a worker for it died before it was there."""
        with self._lock:
            if self._executor is not None:
                # If broken, then by a job whose end is about to be heard of.
                with suppress(BrokenProcessPool):
                    return self._executor, _taken(self._executor, *what)
            # What fails to be handed over is queued all the same: no more is asked of it then.
            self._executor = None
            self._executor, task = _started(self._workers, *what)
            return self._executor, task

    def _discard(self, executor: ProcessPoolExecutor) -> None:
        """What it has begun, it ends."""
        with self._lock:
            if self._executor is executor:
                self._executor = None
            executor.shutdown(wait=False)


class Task:
    """What an executor was asked to do. It looks at the executor's own, as nothing public tells
    whether anybody is left to do it."""

    def __init__(self, executor: ProcessPoolExecutor, done: Future[Any]) -> None:
        self._done = done
        self._processes = executor._processes
        self._manager: Any = executor._executor_manager_thread

    def result(self) -> Any:
        """Wait for it. Raises what it raises; BrokenProcessPool also where nothing would ever
        come: all workers are dead, or the thread that listens to them is."""
        while True:
            wait_for_futures([self._done], timeout=LOOK_EVERY_S)
            if self._done.done():
                return self._done.result()
            if not (self._manager.is_alive() and any(map(_lives, list(self._processes)))):
                raise BrokenProcessPool("nobody is left to do it")


def _started(workers: int, *what: Any) -> tuple[ProcessPoolExecutor, Task]:
    """A new executor that has begun to do it. A fork server that dies meanwhile is no worker that
    died of it, so it is asked of the next one. Raises BrokenProcessPool where none lives."""
    for _ in range(MOST_SERVERS - 1):
        with suppress(BrokenProcessPool):
            executor = _executor(workers)
            return executor, _taken(executor, *what)
    executor = _executor(workers)
    return executor, _taken(executor, *what)


def _taken(executor: ProcessPoolExecutor, *what: Any) -> Task:
    """Have an executor do it. Raises BrokenProcessPool where it cannot start a worker: then what
    the fork server says, or that it says nothing, is no answer to what was asked."""
    try:
        return Task(executor, executor.submit(*what))
    except (OSError, EOFError, MemoryError) as error:
        # It is queued nevertheless, and nobody is to do it twice at once.
        for process in list(executor._processes.values()):
            process.kill()
        executor.shutdown(wait=False)
        _let_server_die()
        raise BrokenProcessPool("no worker could be started") from error


def _let_server_die() -> None:
    """Wait until a fork server that is dying is dead: before, none takes its place. It may look
    dead while some of its threads are not; that it can be waited for tells."""
    server = _server()
    until = time.monotonic() + DYING_S
    with suppress(ChildProcessError):
        while server and time.monotonic() < until:
            if os.waitid(os.P_PID, server, os.WEXITED | os.WNOHANG | os.WNOWAIT):
                return
            time.sleep(0.02)


def _server() -> int | None:
    return getattr(forkserver._forkserver, "_forkserver_pid", None)


def _lives(process: int) -> bool:
    with suppress(psutil.Error):
        return psutil.Process(process).status() != psutil.STATUS_ZOMBIE
    return False


def _executor(workers: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(workers, mp_context=_context(), initializer=_set_up)


def _context() -> ForkServerContext:
    os.environ |= ONE_THREAD
    # A worker imports what the run was started by, unless that is a package: the command
    # `snakemake` would cost each half a second.
    sys.modules["__main__"].__spec__ = ModuleSpec("snakemake.__main__", None)
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([f"{__package__}.preloaded"])
    return context


def _set_up() -> None:
    search_seldom()
    # Ctrl-C reaches all that runs in the terminal: what is under way is to be ended well.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _die_first()
    _end_with_the_run()


def _die_first() -> None:
    """Let Linux, where memory is short, kill workers before the run that replaces them."""
    with suppress(OSError):
        Path("/proc/self/oom_score_adj").write_text("500")


def _nothing() -> None:
    pass


def _end_with_the_run() -> None:
    """Let this worker not outlive its run: one that wrote on would meet the next run's workers."""
    run = multiprocessing.parent_process()
    if run is None:
        return

    def watch(sentinel: int) -> None:
        wait([sentinel])
        os._exit(1)

    threading.Thread(target=watch, args=(run.sentinel,), daemon=True).start()


def _perform(order: Order, arguments: dict[str, Any]) -> tuple[Note, int]:
    """The step and its receipt; a note of both, and how many bytes the worker has in memory."""
    inputs = order.inputs_now()
    try:
        with under_way(order):
            importlib.import_module(f"strapline.running.stages.{order.stage}").run(**arguments)
            note = order.leave_receipt(inputs)
    except OSError as error:
        trouble = told(error)
        if trouble is None:
            raise
        raise trouble from None
    return note, int(psutil.Process().memory_info().rss)
