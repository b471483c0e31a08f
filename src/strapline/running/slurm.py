"""What a run asks Slurm besides what Snakemake's plugin does: whether any node can ever take its
jobs, and why those that wait do."""

import math
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Collection, Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from strapline.ground.documents import DocumentError
from strapline.ground.words import in_figures

LOOK_EVERY_S = 10.0
LONG_S = 60.0
ANSWERS_WITHIN_S = 60.0
# Of the profile, in seconds. Slurm keeps an ended job at least three times as long, or nobody
# would see how it ended.
FIRST_LOOK_S = 20

NODES = ("sinfo", "--noheader", "--exact", "--format=%P|%D|%c|%m|%l")
JOBS = ("squeue", "--noheader", "--states=pending", f"--user={os.getuid()}", "--format=%i|%r|%Z")
NODE = re.compile(r"^([^|]+?)(\*?)\|(\d+)\|(\d+)\+?\|(\d+)\+?\|(.*)$", re.MULTILINE)
PROFILE = "profiles/slurm/config.yaml"
CONFIG = ("scontrol", "show", "config")


class Request(NamedTuple):
    """What a job asks for; `partitions`: any of them, or the cluster's default."""

    cores: int
    memory_mb: int
    minutes: float
    partitions: tuple[str, ...] = ()

    def __str__(self) -> str:
        cores = in_figures(self.cores, "core")
        return f"{cores}, {self.memory_mb} MB and {_time(self.minutes)}"


class Offer(NamedTuple):
    """Alike nodes of a partition."""

    partition: str
    is_default: bool
    nodes: int
    cores: int
    memory_mb: int
    minutes: float

    def takes(self, request: Request) -> bool:
        partitions = request.partitions
        return (
            (self.partition in partitions if partitions else self.is_default)
            and self.cores >= request.cores
            and self.memory_mb >= request.memory_mb
            and self.minutes >= request.minutes
        )

    def __str__(self) -> str:
        nodes, cores = in_figures(self.nodes, "node"), in_figures(self.cores, "core")
        return (
            f"{nodes} of {cores}, {self.memory_mb} MB and {_time(self.minutes)} at most "
            f"(partition {self.partition})"
        )


def must_be_met(requests: Collection[Request]) -> None:
    """Raises DocumentError where no node of the cluster can ever take a job, which Slurm would
    let wait for ever; and where nobody would see how a job ended."""
    offers = list(offered(answer(NODES)))
    for request in sorted(requests):
        if offers and not any(offer.takes(request) for offer in offers):
            raise DocumentError(
                f"A job asks for {request}, and no node takes that. There are "
                f"{'; '.join(map(str, offers))}. Change set-threads, mem_mb, runtime or "
                f"slurm_partition in {PROFILE}. Nothing was sent."
            )
    if requests:
        _must_tell_ends(answer(CONFIG))


def _must_tell_ends(config: str) -> None:
    age = re.search(r"^MinJobAge\s*=\s*(\d+) sec", config, re.MULTILINE)
    is_kept = re.search(r"^AccountingStorageType\s*=.*slurmdbd", config, re.MULTILINE)
    if age and int(age[1]) < 3 * FIRST_LOOK_S and not is_kept:
        raise DocumentError(
            f"This Slurm keeps no accounts and forgets a job {age[1]} s after its end, so a "
            "run would wait for ever. Ask whoever runs it for MinJobAge=300. Nothing was sent."
        )


def offered(nodes: str) -> Iterator[Offer]:
    """From what `sinfo` says."""
    for found in NODE.finditer(nodes):
        partition, default, number, cores, memory, limit = found.groups()
        yield Offer(
            partition, bool(default), int(number), int(cores), int(memory), minutes_of(limit)
        )


def minutes_of(time_limit: str) -> float:
    """Of a limit such as 1-00:00:00, 30:00 or infinite."""
    found = re.fullmatch(r"(?:(\d+)-)?(?:(\d+):)?(\d+):(\d+)", time_limit)
    if not found:
        return math.inf
    days, hours, minutes, seconds = (int(part or 0) for part in found.groups())
    return (days * 24 + hours) * 60 + minutes + seconds / 60


def tell_what_waits() -> None:
    """From now on, in a thread, tell of this folder's jobs that wait for more than a minute, once
    for each of Slurm's reasons."""

    def look() -> None:
        waiting = Waiting()
        while True:
            time.sleep(LOOK_EVERY_S)
            for sentence in waiting.told(answer(JOBS), time.monotonic()):
                print(sentence, file=sys.stderr, flush=True)

    threading.Thread(target=look, daemon=True).start()


class Waiting:
    """`folder`: where the jobs were sent from."""

    def __init__(self, folder: str | None = None) -> None:
        self._folder = folder or str(Path.cwd())
        self._since: dict[str, float] = {}
        self._reasons: set[str] = set()

    def told(self, jobs: str, now: float) -> Iterator[str]:
        """`jobs`: those that `squeue` says are pending now, so many seconds after some moment."""
        rows = (line.split("|", 2) for line in jobs.splitlines())
        pending = {job: reason for job, reason, folder in rows if folder == self._folder}
        self._since = {job: self._since.get(job, now) for job in pending}
        long = [(pending[job], job) for job, since in self._since.items() if now - since >= LONG_S]
        for reason, of_it in groupby(sorted(long), lambda each: each[0]):
            if reason not in self._reasons:
                self._reasons.add(reason)
                names = [job for _, job in of_it]
                yield f"{_jobs(names)} waited for a minute. Slurm's reason: {reason}."


def _jobs(names: list[str]) -> str:
    if len(names) == 1:
        return f"Job {names[0]} has"
    return f"{len(names)} jobs ({names[0]} to {names[-1]}) have"


def _time(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes < math.inf else "any time"


def answer(command: Iterable[str]) -> str:
    """By Slurm; nothing where it does not answer, which Snakemake's plugin tells."""
    try:
        done = subprocess.run(
            [*command], capture_output=True, text=True, timeout=ANSWERS_WITHIN_S, check=True
        )
    except (OSError, subprocess.SubprocessError):
        return ""
    return done.stdout
