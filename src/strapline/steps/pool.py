"""Where steps run: warm worker processes that have imported what steps need."""

import importlib
import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from threading import Lock
from typing import Any

from strapline.receipts import Order

# Imported once by the process that workers are forked from; importing them anew would cost
# each worker more than a second.
PRELOADED = [
    "pandas",
    "pyarrow.parquet",
    "scipy.signal",
    "scipy.stats",
    "altair",
    "vl_convert",
    "jinja2",
    "fitdecode",
]


class Pool:
    """A pool of warm workers; one that dies is replaced."""

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._executor: ProcessPoolExecutor | None = None
        self._lock = Lock()

    def perform(self, order: Order, arguments: dict[str, Any]) -> None:
        """Run `strapline.steps.<stage>.run(**arguments)` in a worker and wait for it and its
        receipt.

        Raises what the step raises. When a worker dies, every job in the pool is broken, so
        each is tried once more; the one that kills its worker twice gets RuntimeError.
        """
        for last_try in (False, True):
            executor = self._ready()
            try:
                executor.submit(_perform, order, arguments).result()
                return
            except BrokenProcessPool as error:
                self._discard(executor)
                if last_try:
                    raise RuntimeError(
                        f"the worker for {order.stage} died twice, perhaps for lack of memory"
                    ) from error

    def _ready(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._executor is None:
                context = multiprocessing.get_context("forkserver")
                context.set_forkserver_preload(PRELOADED)
                self._executor = ProcessPoolExecutor(self._workers, mp_context=context)
            return self._executor

    def _discard(self, broken: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._executor is broken:
                self._executor = None
        broken.shutdown(wait=False)


def _perform(order: Order, arguments: dict[str, Any]) -> None:
    inputs = order.inputs_now()
    importlib.import_module(f"strapline.steps.{order.stage}").run(**arguments)
    order.leave_receipt(inputs)
