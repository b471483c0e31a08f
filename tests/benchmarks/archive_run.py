"""One run of the workflow, with its time, number of steps and memory; sizes on disk."""

import math
import os
import re
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import psutil

REPOSITORY = Path(__file__).resolve().parents[2]
SECONDS_BETWEEN_LOOKS = 0.2
BATCH = 1000


@dataclass(frozen=True)
class Cost:
    """Wall time, steps done, and the most memory resident at once, in Snakemake's own process
    and in any that it started."""

    seconds: float
    steps: int
    parent_mib: float
    worker_mib: float


def first_run(folder: Path, cores: int, sessions: int) -> Cost:
    """The first run, of more than BATCH sessions in batches, as README says."""
    batches = math.ceil(sessions / BATCH)
    costs = [
        run(folder, cores, "--batch", f"sessions={number}/{batches}", "--", "sessions")
        for number in range(1, batches + 1)
        if batches > 1
    ]
    costs.append(run(folder, cores))
    return Cost(
        seconds=sum(cost.seconds for cost in costs),
        steps=sum(cost.steps for cost in costs),
        parent_mib=max(cost.parent_mib for cost in costs),
        worker_mib=max(cost.worker_mib for cost in costs),
    )


def run(folder: Path, cores: int, *what: str, code: Path = REPOSITORY) -> Cost:
    """A run over `folder`/inbox with the settings beside it, by the program in `code`. Raises
    RuntimeError if it fails."""
    command = [sys.executable, "-m", "snakemake", "--snakefile", str(code / "Snakefile")]
    documents = ("settings=settings.yaml", f"devices={code / 'config' / 'devices.yaml'}")
    command += ["--cores", str(cores), "--config", *documents, *what]
    log = folder / "log"
    path = os.environ | {"PYTHONPATH": str(code / "src")}
    parent = worker = 0
    started = time.perf_counter()
    with (
        log.open("w") as file,
        psutil.Popen(command, cwd=folder, stdout=file, stderr=file, env=path) as process,
    ):
        while not has_ended(process, SECONDS_BETWEEN_LOOKS):
            parent = max(parent, resident(process))
            worker = max([worker, *map(resident, children(process))])
        seconds = time.perf_counter() - started
    said = log.read_text()
    if process.returncode != 0:
        raise RuntimeError(f"the run failed:\n{said}")
    logs = sorted((folder / ".snakemake" / "log").iterdir(), key=lambda path: path.stat().st_mtime)
    done = re.findall(r"(\d+) of \d+ steps \(", "".join(log.read_text() for log in logs[-1:]))
    return Cost(seconds, int(done[-1]) if done else 0, parent / 2**20, worker / 2**20)


def has_ended(process: psutil.Popen, within: float) -> bool:
    """Whether it ends within so many seconds; said as soon as it does."""
    try:
        process.wait(within)
    except psutil.TimeoutExpired:
        return False
    return True


def children(process: psutil.Process) -> list[psutil.Process]:
    try:
        return process.children(recursive=True)
    except psutil.NoSuchProcess:
        return []


def resident(process: psutil.Process) -> int:
    try:
        return int(process.memory_info().rss)
    except psutil.NoSuchProcess:
        return 0


def size(folder: Path) -> int:
    """Bytes that a folder's files take on disk, whole blocks counted."""
    done = subprocess.run(
        ["du", "--summarize", "--block-size=1", folder], check=True, capture_output=True, text=True
    )
    return int(done.stdout.split()[0])
