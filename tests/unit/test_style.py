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


def test_no_line_of_the_workflow_is_too_long(repository):
    files = [repository / "Snakefile", *(repository / "workflow" / "rules").glob("*.smk")]
    lines = [line for file in files for line in file.read_text("utf-8").splitlines()]
    assert len(lines) > 500
    assert not [line for line in lines if len(line) > 100]


def test_types(repository):
    check(repository, "mypy")
