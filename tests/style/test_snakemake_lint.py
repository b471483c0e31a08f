import re
import subprocess
import sys

import pytest

pytestmark = pytest.mark.slow

# Answered in DEVELOPERS.md: steps print nothing, and everything runs in one environment.
ANSWERED = {"No log directive defined", "Specify a conda environment or container for each rule."}


def test_snakemake_lint_has_nothing_unanswered(repository):
    finished = subprocess.run(
        [sys.executable, "-m", "snakemake", "--lint"],
        cwd=repository,
        capture_output=True,
        text=True,
        check=False,
    )
    text = finished.stdout + finished.stderr
    found = set(re.findall(r"^    \* (.*):$", text, re.MULTILINE))
    assert found, text
    assert found <= ANSWERED
