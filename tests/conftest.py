import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

# A slow machine is no failing test.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

REPOSITORY = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def repository() -> Path:
    return REPOSITORY


def _snakemake(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the workflow in `folder`, over its inbox/, as a tester would."""
    command = [sys.executable, "-m", "snakemake", "--snakefile", REPOSITORY / "Snakefile"]
    return subprocess.run(
        [*command, "--cores", "2", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )


@pytest.fixture(scope="session")
def run_workflow() -> Callable[..., subprocess.CompletedProcess[str]]:
    """A function of a folder and further arguments; fails the test if the run fails."""

    def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
        finished = _snakemake(folder, *arguments)
        assert finished.returncode == 0, finished.stdout + finished.stderr
        return finished

    return run


@pytest.fixture(scope="session")
def demo(
    tmp_path_factory: pytest.TempPathFactory,
    run_workflow: Callable[..., subprocess.CompletedProcess[str]],
) -> tuple[Path, str]:
    """The folder in which the demo ran, and what it printed."""
    folder = tmp_path_factory.mktemp("demo")
    return folder, run_workflow(folder, "demo").stdout
