"""However many jobs there are, a scheduler's round costs the same."""

import threading
from types import SimpleNamespace

import pytest
from snakemake.scheduling.job_scheduler import JobScheduler

from strapline.scheduling import keep_scheduler_quick

MENDED = ("__init__", "_schedule_reevalutation", "open_jobs", "remaining_jobs")


@pytest.fixture
def scheduler(monkeypatch):
    for name in MENDED:
        monkeypatch.setattr(JobScheduler, name, getattr(JobScheduler, name))
    keep_scheduler_quick()
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


@pytest.mark.parametrize(
    ("ready", "cores", "free"), [(0, 2, 2), (3, 2, 1), (5000, 2, 2), (5000, 64, 64)]
)
def test_a_round_looks_at_few_jobs_but_enough_for_every_core(scheduler, ready, cores, free):
    jobs = {object() for _ in range(ready)}
    scheduler.workflow = SimpleNamespace(cores=cores, dag=SimpleNamespace(ready_jobs=jobs))
    scheduler.resources = {"_cores": free}
    found = JobScheduler.open_jobs.fget(scheduler)
    assert set(found) <= jobs
    assert min(ready, free) <= len(found) <= min(ready, free + 8)


def test_jobs_that_are_still_to_be_done_are_listed_only_where_none_is_ready(scheduler):
    dag = SimpleNamespace(
        ready_jobs={"a"}, needrun_jobs=lambda: ["a", "b"], finished=lambda job: False
    )
    scheduler.workflow, scheduler.running, scheduler.failed = SimpleNamespace(dag=dag), {"b"}, set()
    assert JobScheduler.remaining_jobs.fget(scheduler) == []
    dag.ready_jobs.clear()
    assert JobScheduler.remaining_jobs.fget(scheduler) == ["a"]


@pytest.mark.parametrize(("local", "on_their_way"), [(True, 3), (False, 2)])
def test_a_worker_that_is_done_has_the_next_job_at_hand(monkeypatch, local, on_their_way):
    def begin(scheduler, workflow):
        scheduler.workflow, scheduler.resources = workflow, {"_cores": 2}

    for name in MENDED:
        monkeypatch.setattr(JobScheduler, name, getattr(JobScheduler, name))
    monkeypatch.setattr(JobScheduler, "__init__", begin)
    keep_scheduler_quick()
    assert JobScheduler(SimpleNamespace(local_exec=local)).resources["_cores"] == on_their_way
