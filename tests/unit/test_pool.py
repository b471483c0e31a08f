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
