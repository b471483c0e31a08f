"""However many rounds a scheduler makes, one timer wakes it."""

import threading
from types import SimpleNamespace

import pytest
from snakemake.scheduling.job_scheduler import JobScheduler

from strapline.scheduling import wake_once_at_a_time

NAME = "_schedule_reevalutation"


@pytest.fixture
def scheduler(monkeypatch):
    monkeypatch.setattr(JobScheduler, NAME, getattr(JobScheduler, NAME))
    wake_once_at_a_time()
    return SimpleNamespace(_open_jobs=threading.Semaphore(0))


def timers():
    return [thread for thread in threading.enumerate() if isinstance(thread, threading.Timer)]


def test_rounds_in_quick_succession_set_one_timer(scheduler):
    before = len(timers())
    for _ in range(5):
        JobScheduler._schedule_reevalutation(scheduler, 0.2)
    assert len(timers()) == before + 1
    assert scheduler._open_jobs.acquire(timeout=10)
    assert not scheduler._open_jobs.acquire(blocking=False)


def test_after_it_went_off_the_next_is_set(scheduler):
    for _ in range(2):
        JobScheduler._schedule_reevalutation(scheduler, 0.01)
        assert scheduler._open_jobs.acquire(timeout=10)
