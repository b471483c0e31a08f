"""Workers are there before the first step asks for one, and a run may end before they are."""

import subprocess
import sys

import pytest

STARTED = """
import time
from strapline.steps.pool import Pool

pool = Pool(2)
pool.prepare()
pool.start()
"""
COUNTED = """
until = time.monotonic() + 60
while time.monotonic() < until and len(getattr(pool._executor, "_processes", ())) < 2:
    time.sleep(0.1)
print(len(pool._executor._processes))
"""


def run(*what):
    """Also waits for what outlives the run, for that holds its output open."""
    command = [sys.executable, *what]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)


def test_there_is_a_worker_for_every_core():
    assert run("-c", STARTED + COUNTED).stdout == "2\n"


@pytest.mark.parametrize("seconds", [0, 0.5, 1.5])
def test_a_run_that_ends_while_they_start_says_nothing(seconds):
    assert run("-c", f"{STARTED}\ntime.sleep({seconds})").stderr == ""


def test_a_worker_does_not_import_what_the_run_was_started_by(tmp_path):
    started = "".join(f"    {line}\n" for line in (STARTED + COUNTED).splitlines())
    script = tmp_path / "run.py"
    script.write_text(f"print(__name__)\nif __name__ == '__main__':\n{started}")
    assert run(script).stdout == "__main__\n2\n"


GROWN = """
import multiprocessing
from pathlib import Path
from strapline.receipts import Order, Places
from strapline.steps import pool as module

def perform(name):
    outputs = {
        "part_metrics": f"results/{name}.parquet",
        "part_whole": f"results/{name}.w.parquet",
        "part_values": f"results/{name}.csv",
    }
    made = tuple(outputs.values())
    places = Places(Path("results"), Path("inbox"))
    pool.perform(Order("gather_figures", "", {}, (), made, places), {"metrics": [], **outputs})

def workers():
    return {process.pid for process in multiprocessing.active_children()}

pool = module.Pool(1)
perform("first")
before = workers()
perform("second")
assert workers() == before
module.LARGEST = 1
perform("third")
module.LARGEST = 2**40
perform("fourth")
assert not workers() & before, (workers(), before)
print(*sorted(path.name for path in Path("results").glob("*.parquet")))
"""


def test_workers_that_have_grown_large_are_replaced(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "results").mkdir()
    made = run("-c", GROWN).stdout.split()
    assert [name for name in made if ".w." not in name] == [
        "first.parquet",
        "fourth.parquet",
        "second.parquet",
        "third.parquet",
    ]
