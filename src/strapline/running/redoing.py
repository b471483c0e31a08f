"""Snakemake, mended so that it redoes what is not as it was made.

Snakemake 9.27 calls a file that is there done: also one that someone edited, or one of which only
something beneath is gone. And it deletes what is in a job's place without a look at it.
"""

from __future__ import annotations

import sys
from collections.abc import Awaitable, Callable
from functools import wraps
from typing import TYPE_CHECKING, Any

from snakemake.dag import DAG
from snakemake.exceptions import WorkflowError
from snakemake.io import _IOFile
from snakemake.jobs import Job as SnakemakeJob

from strapline.keeping.as_made import handed_on
from strapline.keeping.as_made.notes import Job
from strapline.keeping.as_made.set_aside import moved_aside
from strapline.running import closing

if TYPE_CHECKING:
    from strapline.keeping.as_made.look import Found, Look

# The rule whose job stands on all others of a session.
LAST_OF_A_SESSION = "session_page"


class Redoing:
    """What a run finds that is not as it was made, and what becomes of it: files that are `gone`,
    or `altered`; what was `moved` aside, with its new name; and what was `handed_on`."""

    def __init__(self, look: Look) -> None:
        self._look = look
        self.gone: list[str] = []
        self.altered: list[str] = []
        self.moved: dict[str, str] = {}
        self.handed_on: list[str] = []
        self._jobs: dict[Any, Job] = {}

    def mend_snakemake(self) -> None:
        """Mend the Snakemake of this process."""
        _IOFile._local_inventory = _ask_of_each_file
        DAG.check_incomplete = self._then_look(DAG.check_incomplete)
        SnakemakeJob.prepare = self._room_made_before(SnakemakeJob.prepare)
        DAG.check_and_touch_output = self._then_note(DAG.check_and_touch_output)
        SnakemakeJob.check_protected_output = self._unless_ours(SnakemakeJob.check_protected_output)

    def tell(self) -> None:
        """What was not as it was made, if anything."""
        again = {name for name in self.gone if self._look.is_there(name)}
        still = {*self.gone, *self.altered} - self.moved.keys() - again
        said = closing.not_as_made(again, still, self.moved, self.handed_on)
        print(said, end="", file=sys.stderr)

    def sessions_done(self, dag: Any) -> dict[str, tuple[str, ...]]:
        """The names of their jobs, of every session of which this run looked at all jobs and all
        are done."""
        found: dict[str, list[Any]] = {}
        for job in dag.jobs if dag is not None else ():
            if "session" in job.wildcards.keys() and self._is_remade(job):  # noqa: SIM118
                found.setdefault(job.wildcards.session, []).append(job)
        return {
            session: tuple(self._job(job).name for job in jobs)
            for session, jobs in found.items()
            if any(job.rule.name == LAST_OF_A_SESSION for job in jobs)
            and all(self._is_done(dag, job) for job in jobs)
        }

    def is_done(self, dag: Any, rule: str) -> bool:
        """Whether the one job of a rule is."""
        jobs = dag.jobs if dag is not None else ()
        return any(job.rule.name == rule and self._is_done(dag, job) for job in jobs)

    def confirm(self, dag: Any) -> None:
        """Keep no note of a job that read in this run what someone changed meanwhile, and one of
        an edition that was made in it."""
        list(handed_on.changed(self._look))
        for job in dag.jobs if dag is not None else ():
            if self._leaves_a_receipt(job) and dag.finished(job):
                self._look.confirm(self._job(job), self._jobs_before(dag, job))

    def _is_done(self, dag: Any, job: Any) -> bool:
        """Whether Snakemake and the job's note say so. Snakemake alone is not enough: it knows
        nothing of results that were put back from a copy, and asked at the end of a run that never
        began, it calls every job done."""
        if dag.needrun(job) and not dag.finished(job):
            return False
        return self._look.is_noted(self._job(job))

    def _leaves_a_receipt(self, job: Any) -> bool:
        return job.rule.name in self._look.methods

    def _is_remade(self, job: Any) -> bool:
        """Whether it is for having been changed."""
        if not self._leaves_a_receipt(job):
            return False
        return not self._job(job).name.startswith(f"results/{handed_on.PUBLICATIONS}/")

    def _job(self, job: Any) -> Job:
        if job not in self._jobs:
            name_of = self._look.places.name_of
            outputs = {name_of(output): bool(output.is_directory) for output in job.output}
            self._jobs[job] = Job(job.rule.name, outputs)
        return self._jobs[job]

    def _jobs_before(self, dag: Any, job: Any) -> list[Job]:
        return [self._job(j) for j in dag.dependencies[job] if self._leaves_a_receipt(j)]

    def _then_look(self, check: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        @wraps(check)
        async def check_and_look(dag: Any) -> None:
            await check(dag)
            self._look_at_all(dag)

        return check_and_look

    def _look_at_all(self, dag: Any) -> None:
        """Give Snakemake a reason for each job that has one; not for those that follow from it."""
        redone = set()
        for job in (job for level in dag.toposorted() for job in level):
            follows = any(before in redone for before in dag.dependencies[job])
            if self._is_remade(job):
                found = self._look.at(self._job(job), self._jobs_before(dag, job))
                self.gone += found.gone
                self.altered += found.altered
                follows = follows or self._give_reason(dag.reason(job), job, found)
            if follows:
                redone.add(job)
        self.handed_on += handed_on.changed(self._look)

    def _give_reason(self, reason: Any, job: Any, found: Found) -> bool:
        name_of = self._look.places.name_of
        reason.missing_output.update(o for o in job.output if name_of(o) in found.missing)
        reason.updated_input.update(
            i for i in job.input if any(_is_in(name, name_of(i)) for name in found.stale)
        )
        if found.outdated:
            reason.params_changed = "by its receipt"
        reason.derived = not reason
        return bool(reason)

    def _room_made_before(self, prepare: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Before Snakemake deletes what lies in the place of a job's outputs, move aside what is
        not Strapline's own."""

        @wraps(prepare)
        async def prepare_with_room(job: Any) -> None:
            if self._leaves_a_receipt(job):
                for name in list(self._look.foreign(self._job(job))):
                    self._move_aside(name)
                # It would warn of those that are not what they were and yet are there.
                job.dag.reason(job).missing_output.clear()
            await prepare(job)

        return prepare_with_room

    def _unless_ours(self, check: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Snakemake ends where an output is write-protected. One that is not as it was made is
        moved aside, whatever its mode, and what it was made of is there."""

        @wraps(check)
        async def check_unless_ours(job: Any) -> None:
            if not self._leaves_a_receipt(job):
                await check(job)

        return check_unless_ours

    def _move_aside(self, name: str) -> None:
        try:
            self.moved[name] = moved_aside(self._look.places, name)
        except OSError as error:
            # To go on would be to delete it.
            raise WorkflowError(
                f"{name} is not as Strapline made it, and could not be moved aside: {error}"
            ) from None

    def _then_note(self, touch: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Snakemake dates outputs anew when their job is done. What was written to meanwhile is
        not noted, and so looked at by the next run."""

        @wraps(touch)
        async def touch_and_note(dag: Any, job: Any, *given: Any, **named: Any) -> None:
            own = self._job(job) if self._leaves_a_receipt(job) else None
            was_whole = own is not None and self._look.is_as_noted(own)
            await touch(dag, job, *given, **named)
            if own is not None:
                self._look.date_again(own, was_whole)

        return touch_and_note


async def _ask_of_each_file(file: _IOFile, cache: object) -> None:
    """Note no names of whole folders: Snakemake takes each for a file, and fails where it is a link
    that leads nowhere. Of such a one it is then told that there is no file."""


def _is_in(name: str, folder: str) -> bool:
    return name == folder or name.startswith(f"{folder}/")
