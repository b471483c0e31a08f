import subprocess
import sys

import pytest


@pytest.fixture
def check(repository):
    """A function that runs a checker, by its module's name, over the repository."""

    def run(*command):
        finished = subprocess.run(
            [sys.executable, "-m", *command],
            cwd=repository,
            capture_output=True,
            text=True,
            check=False,
        )
        assert finished.returncode == 0, finished.stdout + finished.stderr

    return run
