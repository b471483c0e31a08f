"""What a run finds that is not as it was made, and what becomes of it."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from strapline.ground.settings import Settings
from strapline.keeping.as_made import handed_on
from strapline.keeping.as_made.look import Found, Look
from strapline.keeping.as_made.notes import Job
from strapline.keeping.as_made.set_aside import moved_aside
from strapline.running import closing
from strapline.running.recomputed import Recomputed

# The rule whose job stands on all others of a session.
LAST_OF_A_SESSION = "session_page"


class Standing(NamedTuple):
    """How a job of this run stands: its `session`, if it is of one; whether it `is_done`, in this
    run or before, by what Snakemake says, and `is_finished` in this one; the jobs that it is
    `made_from`."""

    job: Job
    session: str | None
    is_done: bool
    is_finished: bool
    made_from: tuple[Job, ...]


class Redoing:
    """Files that are `gone`, or `altered`; what was `moved` aside, with its new name; and what was
    `handed_on`."""

    def __init__(self, look: Look, settings: Settings) -> None:
        self.look = look
        self.gone: list[str] = []
        self.altered: list[str] = []
        self.moved: dict[str, str] = {}
        self.handed_on: list[str] = []
        self._recomputed = Recomputed(settings)

    def leaves_a_receipt(self, job: Job) -> bool:
        return job.stage in self.look.methods

    def found(self, each: Standing) -> Found | None:
        """What of a job is not as it was made; None for one that is not made again for that."""
        if not self._is_remade(each.job):
            return None
        found = self.look.at(each.job, self._with_receipts(each.made_from))
        self.gone += found.gone
        self.altered += found.altered
        if found.outdated:
            self._recomputed.note(self.look.receipt(each.job), each.session)
        return found

    def end_of_look(self) -> None:
        """When all jobs were looked at, and none has begun."""
        self.handed_on += handed_on.changed(self.look)
        print(self._recomputed.told(), end="", file=sys.stderr)

    def make_room(self, job: Job) -> None:
        """Move aside what lies in the place of a job's outputs and is not Strapline's own. Raises
        NotMoved where that fails: to go on would be to delete it."""
        for name in list(self.look.foreign(job)):
            self.moved[name] = moved_aside(self.look.places, name)

    def tell(self) -> None:
        """What was not as it was made, if anything."""
        again = {name for name in self.gone if self.look.is_there(name)}
        still = {*self.gone, *self.altered} - self.moved.keys() - again
        said = closing.not_as_made(again, still, self.moved, self.handed_on)
        print(said, end="", file=sys.stderr)

    def sessions_done(self, jobs: Sequence[Standing]) -> dict[str, tuple[str, ...]]:
        """The names of their jobs, of every session of which this run looked at all jobs and all
        are done."""
        found: dict[str, list[Standing]] = {}
        for each in jobs:
            if each.session is not None and self._is_remade(each.job):
                found.setdefault(each.session, []).append(each)
        return {
            session: tuple(each.job.name for each in own)
            for session, own in found.items()
            if any(each.job.stage == LAST_OF_A_SESSION for each in own)
            and all(map(self._is_done, own))
        }

    def done(self, jobs: Sequence[Standing], stage: str) -> list[str]:
        """The names of a stage's jobs that are."""
        return [each.job.name for each in jobs if each.job.stage == stage and self._is_done(each)]

    def confirm(self, jobs: Sequence[Standing]) -> None:
        """Keep no note of a job that read in this run what someone changed meanwhile, and one of
        an edition that was made in it."""
        list(handed_on.changed(self.look))
        for each in jobs:
            if each.is_finished and self.leaves_a_receipt(each.job):
                self.look.confirm(each.job, self._with_receipts(each.made_from))

    def _is_done(self, each: Standing) -> bool:
        """Whether Snakemake and the job's note say so. Snakemake alone is not enough: it knows
        nothing of results that were put back from a copy, and asked at the end of a run that never
        began, it calls every job done."""
        return each.is_done and self.look.is_noted(each.job)

    def _is_remade(self, job: Job) -> bool:
        """Whether it is for having been changed."""
        publications = f"results/{handed_on.PUBLICATIONS}/"
        return self.leaves_a_receipt(job) and not job.name.startswith(publications)

    def _with_receipts(self, jobs: Iterable[Job]) -> list[Job]:
        return [job for job in jobs if self.leaves_a_receipt(job)]
