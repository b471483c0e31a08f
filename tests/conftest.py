import compileall
import fcntl
import gc
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from strapline.ground.report_files import LOOKS

# A slow machine is no failing test.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

REPOSITORY = Path(__file__).resolve().parents[1]

# What is imported is compiled once, and not by every run that a test starts.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# What starts the workflow or a browser, or works for seconds.
SLOW_FOLDERS = {"browser", "fuzz", "real", "workflow"}
SLOW_FIXTURES = {"demo", "run_workflow"}


def pytest_configure(config: pytest.Config) -> None:
    """Copies of the project take along what is compiled by then."""
    if not hasattr(config, "workerinput"):
        compileall.compile_dir(REPOSITORY / "src", quiet=2)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Slow tests go first, so that no worker is left with one when the other is done."""
    for item in items:
        fixtures = set(getattr(item, "fixturenames", ()))
        if item.path.parent.name in SLOW_FOLDERS or fixtures & SLOW_FIXTURES:
            item.add_marker("slow")
    items.sort(key=lambda item: item.get_closest_marker("slow") is None)


def pytest_collection_finish() -> None:
    """All that is imported by now stays. Python need not look through it for garbage, which the
    statistical libraries that tests compare with have it do at every call."""
    gc.freeze()


@pytest.fixture(scope="session")
def repository() -> Path:
    return REPOSITORY


def _snakemake(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the workflow in `folder`, over its inbox/, as a tester would."""
    command = [sys.executable, "-m", "snakemake", "--snakefile", REPOSITORY / "Snakefile"]
    if not (folder / "config").exists():
        shutil.copytree(REPOSITORY / "config", folder / "config")
    return subprocess.run(
        [*command, "--cores", "2", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )


@pytest.fixture(scope="session")
def real_recordings() -> Path:
    """Recordings of real people and devices, which are no part of the project."""
    folder = os.environ.get("STRAPLINE_REAL_DATA", "")
    if not folder or not Path(folder).is_dir():
        pytest.skip("needs real recordings; set STRAPLINE_REAL_DATA to their directory")
    return Path(folder)


@pytest.fixture(scope="session")
def run_workflow() -> Callable[..., subprocess.CompletedProcess[str]]:
    """A function of a folder and further arguments; fails the test if the run fails."""

    def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
        finished = _snakemake(folder, *arguments)
        assert finished.returncode == 0, finished.stdout + finished.stderr
        return finished

    return run


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """A function that gives the folder of a name, which another filled: once for all workers. So
    nothing in it may be changed."""
    own = tmp_path_factory.getbasetemp()
    shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own

    def made(name: str, fill: Callable[[Path], object]) -> Path:
        folder, done = shared / name, shared / f"{name}.done"
        with (shared / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not done.exists():
                folder.mkdir(exist_ok=True)
                fill(folder)
                done.touch()
        return folder

    return made


@pytest.fixture(scope="session")
def with_looks(
    made_once: Callable[..., Path],
    run_workflow: Callable[..., subprocess.CompletedProcess[str]],
) -> Callable[[Path], Path]:
    """A function that gives a folder without results what the pages of all reports share, as a run
    leaves it: the longest job of a small run, and the same in every folder."""

    def fill(folder: Path) -> None:
        (folder / "inbox").mkdir()
        run_workflow(folder, *(f"results/report/{name}" for name in LOOKS))

    def given(folder: Path) -> Path:
        looks = made_once("looks", fill)
        for part in ("results/report", "results/receipts", ".snakemake/metadata"):
            shutil.copytree(looks / part, folder / part)
        return folder

    return given


@pytest.fixture(scope="session")
def demo(
    tmp_path_factory: pytest.TempPathFactory,
    made_once: Callable[..., Path],
    run_workflow: Callable[..., subprocess.CompletedProcess[str]],
) -> tuple[Path, str]:
    """A folder in which the demo ran, and what it printed: a copy for each worker. It is the demo
    that was run here before the tests, where STRAPLINE_DEMO names the file of what that printed."""

    def fill(folder: Path) -> None:
        said = folder / "said.txt"
        if before := os.environ.get("STRAPLINE_DEMO"):
            shutil.copy(before, said)
            for name in ("results/demo", ".snakemake"):
                shutil.copytree(REPOSITORY / name, folder / name, symlinks=True)
            shutil.copytree(REPOSITORY / "config", folder / "config")
        else:
            said.write_text(run_workflow(folder, "demo").stdout, "utf-8")

    folder = tmp_path_factory.mktemp("demo-of-worker") / "copy"
    shutil.copytree(made_once("demo", fill), folder, symlinks=True)
    return folder, (folder / "said.txt").read_text("utf-8")
