"""What Snakemake says of the process that it runs in."""

import re
import shlex
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple

from strapline.running.redoing import Redoing
from strapline.running.slurm import Request
from strapline.running.snakemake_hooks import quick
from strapline.running.snakemake_hooks.asked import Asked, asked_by
from strapline.running.snakemake_hooks.mending import Mending
from strapline.running.snakemake_hooks.redo import SnakemakeJobs


class Process(NamedTuple):
    """`root`: where the Snakefile lies; `cores`: how many jobs at once; `is_main`: whether it is
    the one that was typed, and not one that Snakemake started for a job; `is_dry`: whether it only
    says what it would do; `words`: those that were typed after `snakemake`."""

    workflow: Any
    mending: Mending
    root: Path
    snakefile: Path
    cores: int
    is_main: bool
    is_dry: bool
    asked: Asked
    words: list[str]

    @property
    def begins(self) -> bool:
        """Whether it is a run that may change results."""
        return self.is_main and not self.is_dry

    @property
    def python(self) -> str:
        return sys.executable

    @property
    def command(self) -> str:
        """How this run starts another."""
        words = ["-m", "snakemake", "--snakefile", str(self.snakefile), "--nolock"]
        return shlex.join([self.python, *words])

    def be_quick(self) -> None:
        """Mend what makes Snakemake slow."""
        for each in quick.mends(self.mending):
            self.mending.mend(each)

    def jobs(self, redoing: Redoing) -> SnakemakeJobs:
        """Its jobs, for `redoing` to judge."""
        return SnakemakeJobs(self.workflow, redoing, self.mending)

    def requests(self) -> set[Request]:
        """What the jobs that are still to be done ask for, where they are sent to Slurm."""
        with self.mending.trying("DAG.needrun_jobs"):
            if self.workflow.executor_plugin.name == "slurm":
                jobs = self.workflow.dag.needrun_jobs()
                return {_request(job) for job in jobs if not job.is_local}
        return set()

    def was_told_to_end(self) -> bool:
        return quick.told_to_end(getattr(self.workflow, "scheduler", None))


def process_of(workflow: Any) -> Process:
    # Of these, only the first is told to those who write workflows.
    root = Path(workflow.basedir)
    snakefile = Path(getattr(workflow, "main_snakefile", root / "Snakefile"))
    words = sys.argv[1:]
    asked = asked_by(words)
    return Process(
        workflow=workflow,
        mending=Mending(),
        root=root,
        snakefile=snakefile,
        cores=_cores(workflow),
        is_main=getattr(workflow, "is_main_process", True),
        is_dry=getattr(getattr(workflow, "output_settings", None), "dryrun", asked.dry_run),
        asked=asked,
        words=words,
    )


def _request(job: Any) -> Request:
    asked = job.resources
    partitions = str(asked.get("slurm_partition") or "")
    return Request(
        cores=job.threads,
        memory_mb=_number(asked.get("mem_mb")),
        minutes=_number(asked.get("runtime")),
        partitions=tuple(filter(None, re.split(r"[,\s]+", partitions))),
    )


def _number(resource: Any) -> int:
    """Nothing where it is not settled yet."""
    return resource if isinstance(resource, int) else 0


def _cores(workflow: Any) -> int:
    # It raises where none were asked for.
    with suppress(Exception):
        return int(workflow.cores or 1)
    return 1
