"""Where steps run: warm worker processes that have imported what steps need."""

import importlib
import multiprocessing
import os
import sys
import threading
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from importlib.machinery import ModuleSpec
from multiprocessing import forkserver
from multiprocessing.connection import wait
from multiprocessing.context import ForkServerContext
from typing import Any

import psutil

from strapline.garbage import search_seldom
from strapline.machine import MachineTrouble, told
from strapline.receipts import Order
from strapline.under_way import under_way

# A worker is one thread, for there is one for every core. (Sums by several threads could also
# come out differently from one machine to another.)
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}

# As many as the steps of one session can use; more are started when they are needed.
AT_FIRST = 4

# Bytes in memory of one worker beyond which all are replaced. The renderer grows with every
# picture that it has not drawn before, and gives nothing back.
LARGEST = 600 * 2**20


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
            # One makes ready to draw; a session's first steps are for the others.
            self._submit(_start_renderer)
            for _ in range(min(self._workers, AT_FIRST) - 1):
                self._submit(_nothing)

    def perform(self, order: Order, arguments: dict[str, Any]) -> None:
        """Run `strapline.steps.<stage>.run(**arguments)` in a worker and wait for it and its
        receipt.

        Raises what the step raises, or MachineTrouble where the fault is the disk's or a
        permission's. When a worker dies, every job in the pool is broken, so each is tried once
        more, in a worker that no other job can take down; if that dies too, MachineTrouble.
        """
        executor, done = self._submit(_perform, order, arguments)
        try:
            if done.result() > LARGEST:
                self._discard(executor)
            return
        except BrokenProcessPool:
            self._discard(executor)
        with self._alone, _executor(1) as alone:
            try:
                alone.submit(_perform, order, arguments).result()
            except BrokenProcessPool as error:
                raise MachineTrouble(
                    f"The worker for the stage {order.stage} died twice, perhaps for lack of "
                    "memory: close other programs, or type `snakemake --cores 1`."
                ) from error

    def _submit(self, *what: Any) -> tuple[ProcessPoolExecutor, Future[Any]]:
        """Ask for it to be done; also who took it, for by then there may be another."""
        with self._lock:
            if self._executor is not None:
                # If broken, then by a job whose end is about to be heard of.
                with suppress(BrokenProcessPool):
                    return self._executor, self._executor.submit(*what)
            # What fails to be handed over is queued all the same: no more is asked of it then.
            self._executor, executor = None, _executor(self._workers)
            done = executor.submit(*what)
            self._executor = executor
            return executor, done

    def _discard(self, executor: ProcessPoolExecutor) -> None:
        """What it has begun, it ends."""
        with self._lock:
            if self._executor is executor:
                self._executor = None
            executor.shutdown(wait=False)


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
    _end_with_the_run()


def _start_renderer() -> None:
    # What is wrong with it, the first step that draws will say.
    with suppress(Exception):
        importlib.import_module("strapline.charts.render").start()


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


def _perform(order: Order, arguments: dict[str, Any]) -> int:
    """The step and its receipt; how many bytes the worker has in memory now."""
    inputs = order.inputs_now()
    try:
        with under_way(order):
            importlib.import_module(f"strapline.steps.{order.stage}").run(**arguments)
            order.leave_receipt(inputs)
    except OSError as error:
        trouble = told(error)
        if trouble is None:
            raise
        raise trouble from None
    return int(psutil.Process().memory_info().rss)
