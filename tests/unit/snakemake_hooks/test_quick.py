"""However many jobs and files there are, what Snakemake does for one job costs the same."""

import asyncio
import os
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import pytest
from snakemake import api  # noqa: F401 (its modules import one another in this order only)
from snakemake.io import _IOFile
from snakemake.scheduling.job_scheduler import JobScheduler

from strapline.running.snakemake_hooks import quick
from strapline.running.snakemake_hooks.mending import Mending
from strapline.running.snakemake_hooks.quick import told_to_end

MENDED = ("__init__", "_schedule_reevalutation", "open_jobs", "remaining_jobs")


def keep(monkeypatch):
    """Put back what is mended when the test ends."""
    for name in MENDED:
        monkeypatch.setattr(JobScheduler, name, getattr(JobScheduler, name))
    monkeypatch.setattr(_IOFile, "checksum", _IOFile.checksum)


def keep_snakemake_quick():
    mending = Mending()
    assert all(mending.mend(each) for each in quick.mends(mending))


@pytest.fixture
def scheduler(monkeypatch):
    keep(monkeypatch)
    keep_snakemake_quick()
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


@pytest.mark.parametrize(("local", "on_their_way"), [(True, 4), (False, 2)])
def test_a_worker_that_is_done_has_the_next_job_at_hand(monkeypatch, local, on_their_way):
    def begin(self, workflow, executor_plugin, scheduler, greedy_scheduler_settings):
        self.workflow, self.resources = workflow, {"_cores": 2}
        self._lock = None

    keep(monkeypatch)
    monkeypatch.setattr(JobScheduler, "__init__", begin)
    keep_snakemake_quick()
    group = ("b", "d")  # called by a text, as Snakemake's groups are
    numbers = {"a": 1, "b": 2, "c": 3, "d": 4, group: "b-d"}
    dag = SimpleNamespace(_ready_jobs={"a", "c", group}, jobid=numbers.__getitem__)
    scheduler = JobScheduler(SimpleNamespace(local_exec=local, dag=dag), None, None, None)
    assert scheduler.resources["_cores"] == on_their_way
    assert list(dag._ready_jobs) == [group, "c", "a"]


def test_a_run_that_is_told_to_end_at_any_time_hears_it(monkeypatch):
    def begin(self, workflow, executor_plugin, scheduler, greedy_scheduler_settings):
        self.workflow, self.resources = workflow, {"_cores": 2}
        self._lock, self._open_jobs = threading.Lock(), threading.Semaphore(0)

    def told_while_it_is_busy():
        with scheduler._lock:
            scheduler.exit_gracefully()

    keep(monkeypatch)
    monkeypatch.setattr(JobScheduler, "__init__", begin)
    keep_snakemake_quick()
    dag = SimpleNamespace(_ready_jobs=set(), jobid=id)
    scheduler = JobScheduler(SimpleNamespace(local_exec=True, dag=dag), None, None, None)
    thread = threading.Thread(target=told_while_it_is_busy, daemon=True)
    thread.start()
    thread.join(10)
    assert not thread.is_alive() and told_to_end(scheduler)


@pytest.fixture
def checksum(monkeypatch):
    """A checksum of a file's content, and the files of which it was taken."""
    taken = []

    async def taken_anew(self, threshold=None, force=False, algorithm=None):
        file = self
        taken.append(str(file))
        content = Path(file).read_text() if Path(file).exists() else ""
        return content if len(content) <= threshold else None

    keep(monkeypatch)
    monkeypatch.setattr(_IOFile, "checksum", taken_anew)
    keep_snakemake_quick()

    def checksum_of(path, most=9):
        # In another thread, for a browser that tests opened has an event loop in this one.
        with ThreadPoolExecutor(1) as thread:
            return thread.submit(asyncio.run, _IOFile.checksum(path, most)).result()

    return checksum_of, taken


def test_a_file_is_read_once_until_it_is_written_to(tmp_path, checksum):
    checksum_of, taken = checksum
    file = tmp_path / "file"
    file.write_text("before")
    assert [checksum_of(file) for _ in range(3)] == ["before"] * 3
    assert len(taken) == 1
    (tmp_path / "new").write_text("behind")
    (tmp_path / "new").rename(file)
    assert [checksum_of(file) for _ in range(3)] == ["behind"] * 3
    file.write_text("inside")
    os.utime(file, ns=(0, 0))
    assert [checksum_of(file) for _ in range(3)] == ["inside"] * 3
    assert len(taken) == 3


def test_a_file_too_large_for_one_question_is_not_so_for_another(tmp_path, checksum):
    checksum_of, _ = checksum
    (tmp_path / "file").write_text("content")
    assert checksum_of(tmp_path / "file", 3) is None
    assert checksum_of(tmp_path / "file") == "content"


def test_a_file_that_is_not_there_is_asked_for_again(tmp_path, checksum):
    checksum_of, _ = checksum
    assert checksum_of(tmp_path / "file") == ""
    (tmp_path / "file").write_text("content")
    assert checksum_of(tmp_path / "file") == "content"
