"""Snakemake, mended so that it redoes what is not as it was made.

Snakemake 9.27 calls a file that is there done: also one that someone edited, or one of which only
something beneath is gone. And it deletes what is in a job's place without a look at it.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from functools import wraps
from typing import Any

from strapline.keeping.as_made.look import Found
from strapline.keeping.as_made.notes import Job, within
from strapline.keeping.as_made.set_aside import NotMoved
from strapline.running.redoing import Redoing, Standing
from strapline.running.snakemake_hooks.mending import Mend, Mending

FILE = "snakemake.io:_IOFile"
DAG = "snakemake.dag:DAG"
JOB = "snakemake.jobs:Job"
TOUCHING = (
    "async (self, job, wait, ignore_missing_output, no_touch, wait_for_local, check_output_mtime)"
)


class SnakemakeJobs:
    """The jobs of a run, as Snakemake has them, for `redoing` to judge."""

    def __init__(self, workflow: Any, redoing: Redoing, mending: Mending) -> None:
        self._workflow = workflow
        self._redoing = redoing
        self._mending = mending
        self._is_mended = False
        self._own: dict[Any, Job] = {}

    def mend(self) -> None:
        """The first alone, and the others together: what is looked at must be noted, and moved
        aside."""
        asked = "async (self, cache)"
        self._mending.mend(Mend(FILE, "_local_inventory", asked, ask_of_each_file))
        self._is_mended = self._mending.mend(
            Mend(DAG, "check_incomplete", "async (self)", self._then_look),
            Mend(DAG, "check_and_touch_output", TOUCHING, self._then_note),
            Mend(JOB, "prepare", "async (self)", self._room_made_before),
            Mend(JOB, "check_protected_output", "async (self)", self._unless_ours),
        )

    def standing(self) -> list[Standing]:
        """How each job stands now; none where that cannot be told."""
        if self._is_mended:
            with self._mending.trying("DAG.jobs"):
                dag = self._workflow.dag
                return [self._standing(dag, job) for job in dag.jobs] if dag is not None else []
        return []

    def _standing(self, dag: Any, job: Any) -> Standing:
        return Standing(
            job=self._job(job),
            session=job.wildcards.get("session"),
            is_done=not dag.needrun(job) or dag.finished(job),
            is_finished=dag.finished(job),
            made_from=tuple(map(self._job, dag.dependencies[job])),
        )

    def _job(self, job: Any) -> Job:
        if job not in self._own:
            name_of = self._redoing.look.places.name_of
            outputs = {name_of(output): bool(output.is_directory) for output in job.output}
            self._own[job] = Job(job.rule.name, outputs)
        return self._own[job]

    def _then_look(self, check: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        @wraps(check)
        async def check_and_look(dag: Any) -> None:
            await check(dag)
            self._look_at_all(dag)

        return check_and_look

    def _look_at_all(self, dag: Any) -> None:
        """Give Snakemake a reason for each job that has one; not for those that follow from it."""
        redone: set[Any] = set()
        for job, before, own in self._in_order(dag):
            follows = not redone.isdisjoint(before)
            found = self._redoing.found(own)
            if found is not None:
                follows = follows or self._give_reason(dag, job, found)
            if follows:
                redone.add(job)
        self._redoing.end_of_look()

    def _in_order(self, dag: Any) -> list[tuple[Any, set[Any], Standing]]:
        """Every job, after all that it is made from."""
        with self._mending.trying("DAG.toposorted"):
            jobs = [job for level in dag.toposorted() for job in level]
            return [(job, set(dag.dependencies[job]), self._standing(dag, job)) for job in jobs]
        return []

    def _give_reason(self, dag: Any, job: Any, found: Found) -> bool:
        """Whether the job has any."""
        name_of = self._redoing.look.places.name_of
        with self._mending.trying("DAG.reason"):
            reason = dag.reason(job)
            reason.missing_output.update(o for o in job.output if name_of(o) in found.missing)
            reason.updated_input.update(
                i for i in job.input if any(within(name, name_of(i)) for name in found.stale)
            )
            if found.outdated:
                reason.params_changed = "by its receipt"
            reason.derived = not reason
            return bool(reason)
        return False

    def _room_made_before(self, prepare: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Before Snakemake deletes what lies in the place of a job's outputs, move aside what is
        not Strapline's own."""

        @wraps(prepare)
        async def prepare_with_room(job: Any) -> None:
            for own in self._own_of(job):
                try:
                    self._redoing.make_room(own)
                except NotMoved as error:
                    raise _workflow_error(str(error)) from None
                with self._mending.trying("DAG.reason"):
                    # It would warn of those that are not what they were and yet are there.
                    job.dag.reason(job).missing_output.clear()
            await prepare(job)

        return prepare_with_room

    def _unless_ours(self, check: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Snakemake ends where an output is write-protected. One that is not as it was made is
        moved aside, whatever its mode, and what it was made of is there."""

        @wraps(check)
        async def check_unless_ours(job: Any) -> None:
            if not any(self._own_of(job)):
                await check(job)

        return check_unless_ours

    def _then_note(self, touch: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
        """Snakemake dates outputs anew when their job is done. What was written to meanwhile is
        not noted, and so looked at by the next run."""

        @wraps(touch)
        async def touch_and_note(dag: Any, job: Any, *given: Any, **named: Any) -> None:
            look = self._redoing.look
            were_whole = {own.name: look.is_as_noted(own) for own in self._own_of(job)}
            await touch(dag, job, *given, **named)
            for own in self._own_of(job):
                look.date_again(own, were_whole.get(own.name, False))

        return touch_and_note

    def _own_of(self, job: Any) -> Iterator[Job]:
        """The job, if it leaves a receipt and is what it was taken for; else nothing."""
        own = None
        with self._mending.trying("Job.output"):
            own = self._job(job)
        if own is not None and self._redoing.leaves_a_receipt(own):
            yield own


def ask_of_each_file(note: Callable[..., Awaitable[None]]) -> Callable[..., Any]:
    """Note no names of whole folders: Snakemake takes each for a file, and fails where it is a link
    that leads nowhere. Of such a one it is then told that there is no file."""

    @wraps(note)
    async def note_nothing(file: Any, cache: Any) -> None:
        pass

    return note_nothing


def _workflow_error(sentence: str) -> Exception:
    from snakemake.exceptions import WorkflowError

    error: Exception = WorkflowError(sentence)
    return error
