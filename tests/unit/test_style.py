"""Style and types, so that one command checks everything."""

import subprocess
import sys


def check(repository, *command):
    finished = subprocess.run(
        [sys.executable, "-m", *command],
        cwd=repository,
        capture_output=True,
        text=True,
        check=False,
    )
    assert finished.returncode == 0, finished.stdout + finished.stderr


def test_lint(repository):
    check(repository, "ruff", "check", ".")


def test_format(repository):
    check(repository, "ruff", "format", "--check", ".")


def test_types(repository):
    check(repository, "mypy")
