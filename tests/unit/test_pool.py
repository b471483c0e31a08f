"""Workers are there before the first step asks for one; a run may end before they are, or they
before it."""

import os
import subprocess
import sys
import threading
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from types import SimpleNamespace

import pytest

from strapline.running import pool

pytestmark = pytest.mark.slow

STARTED = """
import time
from strapline.running.pool import Pool

pool = Pool(2)
pool.prepare()
pool.start()
"""
COUNTED = """
from multiprocessing import active_children
until = time.monotonic() + 60
while time.monotonic() < until and len(active_children()) < 2:
    time.sleep(0.1)
print(len(active_children()))
"""


def run(*what):
    """Also waits for what outlives the run, for that holds its output open."""
    command = [sys.executable, *what]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


@pytest.mark.parametrize("seconds", [0, 0.5, 1.5])
def test_a_run_that_ends_while_they_start_says_nothing(seconds):
    assert run("-c", f"{STARTED}\ntime.sleep({seconds})").stderr == ""


def test_there_is_a_worker_for_every_core_and_none_imports_what_the_run_was_started_by(tmp_path):
    started = "".join(f"    {line}\n" for line in (STARTED + COUNTED).splitlines())
    script = tmp_path / "run.py"
    script.write_text(f"print(__name__)\nif __name__ == '__main__':\n{started}")
    assert run(script).stdout == "__main__\n2\n"


STEPS = """
import multiprocessing, os, signal, threading, time
from pathlib import Path
from strapline.running.machine import MachineTrouble
from strapline.keeping.receipts import Order, Places
from strapline.running import pool as module

def order(stage, made):
    return Order(stage, "", {}, (), (made,), Places(Path("results"), Path("inbox")))

def perform(name):
    made = f"results/{name}.json"
    nothing = dict.fromkeys(("intakes", "clocks", "aligned", "stated"), [])
    pool.perform(order("gather_sessions", made), {**nothing, "described": made})

def workers():
    return {process.pid for process in multiprocessing.active_children()}

def wait_for(condition):
    until = time.monotonic() + 60
    while not condition():
        assert time.monotonic() < until
        time.sleep(0.1)
"""
GROWN = """
pool = module.Pool(1)
perform("first")
before = workers()
perform("second")
assert workers() == before
module.LARGEST = 1
perform("third")
module.LARGEST = 2**40
perform("fourth")
wait_for(lambda: not workers() & before)
"""
# A step that reads from a pipe into which nobody writes waits until it is killed.
KILLED = """
def perform_killed():
    settings = dict.fromkeys(("plausibility", "rr_intervals"))
    files = {"samples": [], "beats": [], "intake": "pipe", "channels": "results/channels.parquet"}
    files["recordings"] = "results/killed.json"
    try:
        pool.perform(order("normalise", files["recordings"]), files | settings)
    except Exception as error:
        said.append(error)

def waits_for_pipe():
    try:
        opened.append(os.open("pipe", os.O_WRONLY | os.O_NONBLOCK))
    except OSError:
        return False
    return True

def kill(spared):
    wait_for(lambda: workers() - spared)
    (victim,) = workers() - spared
    os.kill(victim, signal.SIGKILL)
    return victim

pool, said, opened = module.Pool(2), [], []
os.mkfifo("pipe")
"""
AT_WORK = """
at_work = threading.Thread(target=perform_killed)
at_work.start()
wait_for(waits_for_pipe)
first = workers()
perform("beside")
other = workers() - first
assert len(first) == len(other) == 1
"""
ONCE = """
Path("file").write_text("no JSON")
Path("file").rename("pipe")
kill(other)
at_work.join()
assert "Invalid JSON" in str(said[0]), said
"""
TWICE = """
victim = kill(other)
kill(other | {victim})
at_work.join()
assert isinstance(said[0], MachineTrouble) and "normalise died twice" in str(said[0]), said
perform("after")
"""
IDLE = """
perform("before")
kill(set())
wait_for(lambda: not workers())
"""
# It is killed while it imports, when a worker is asked of it already.
SERVER = """
from contextlib import suppress
from multiprocessing import forkserver

def server():
    return forkserver._forkserver._forkserver_pid

def kill_server(name):
    killed = server()
    os.kill(killed, getattr(signal, name))
    with suppress(ChildProcessError):
        os.waitid(os.P_PID, killed, os.WEXITED | os.WNOWAIT)

before = None
for name in ("SIGKILL", "SIGTERM", "SIGSEGV"):
    pool = module.Pool(2)
    at_work = threading.Thread(target=perform, args=(name,))
    at_work.start()
    wait_for(lambda: server() != before)
    time.sleep(0.1)
    kill_server(name)
    at_work.join()
    before = server()
    kill_server(name)
"""
# One that is stopped says nothing, and does not die.
STOPPED = """
import io, sys
from multiprocessing import forkserver

sys.stderr = said = io.StringIO()
pool = module.Pool(2)
pool.prepare()
perform("before")
(worker,) = workers()
os.kill(worker, signal.SIGSTOP)
perform("worker")
assert said.getvalue().count("was stopped from outside") == 1, said.getvalue()
os.kill(forkserver._forkserver._forkserver_pid, signal.SIGSTOP)
for worker in workers():
    os.kill(worker, signal.SIGKILL)
perform("server")
assert said.getvalue().count("was stopped from outside") == 2, said.getvalue()
"""


@pytest.fixture
def made(tmp_path, monkeypatch):
    """What a script that performs steps has made."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "results").mkdir()

    def made(script):
        run("-c", STEPS + script)
        return sorted(path.stem for path in Path("results").glob("*.json"))

    return made


def test_workers_that_have_grown_large_are_replaced(made):
    assert made(GROWN) == ["first", "fourth", "second", "third"]


def test_what_a_worker_that_dies_was_at_is_tried_once_more(made):
    assert made(KILLED + AT_WORK + ONCE) == ["beside"]


def test_what_kills_two_workers_is_given_up_and_others_go_on(made):
    assert made(KILLED + AT_WORK + TWICE) == ["after", "beside"]


def test_a_worker_that_dies_idle_takes_no_try_from_what_comes_next(made):
    assert made(KILLED + IDLE + AT_WORK + ONCE) == ["before", "beside"]


def test_a_fork_server_that_dies_is_replaced_whatever_the_signal(made):
    assert made(SERVER) == ["SIGKILL", "SIGSEGV", "SIGTERM"]


def test_what_is_stopped_is_replaced(made):
    assert made(STOPPED) == ["before", "server", "worker"]


NOBODY = 2**22 + 1  # no process has such a number


@pytest.mark.parametrize(
    ("process", "listener"),
    [(NOBODY, threading.current_thread()), (os.getpid(), threading.Thread())],
    ids=["no process", "no listener"],
)
def test_what_nobody_is_left_to_do_is_not_waited_for(process, listener, monkeypatch):
    monkeypatch.setattr(pool, "LOOK_EVERY_S", 0.01)
    executor = SimpleNamespace(_processes={process: None}, _executor_manager_thread=listener)
    with pytest.raises(BrokenProcessPool):
        pool.Task(executor, Future()).result()
