"""Which sessions a run need not look at, and what it notes of them all at its end; see
strapline.keeping.as_made.settled."""

from __future__ import annotations

import atexit
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from strapline.ground.tables.contracts import IN_PARTS
from strapline.keeping.as_made.look import Look
from strapline.keeping.as_made.settled import Kept, hashed, keep, sealed, sealed_again, settled
from strapline.running.ended import (
    clear_ended_parts,
    clear_raw_files,
    clear_strangers,
    ended_raw_files,
)
from strapline.running.forgetting.made import take_pages_but, take_published_but
from strapline.running.own import Own
from strapline.running.params import Devices, OfSessions
from strapline.running.publishing import Publishing
from strapline.running.redoing import Redoing
from strapline.running.snakemake_hooks.asked import Asked
from strapline.running.snakemake_hooks.redo import SnakemakeJobs
from strapline.running.taken import Taken


@dataclass(frozen=True)
class Settling:
    """`kept`: what the last run noted; `rules`: a hash of what tells Snakemake the jobs of a
    session; `methods`: each stage's fingerprint."""

    own: Own
    taken: Taken
    kept: Kept
    asked: Asked
    of_sessions: OfSessions
    publishing: Publishing
    methods: Mapping[str, str]
    rules: str

    @cached_property
    def look(self) -> Look:
        contents = self.taken.contents
        places, notes = self.own.places, self.kept.notes
        return Look(places, notes, self.methods, lambda name: contents.get(places.path_of(name)))

    @cached_property
    def redoing(self) -> Redoing:
        return Redoing(self.look, self.own.settings)

    @cached_property
    def settled(self) -> frozenset[str]:
        """The sessions for which there are no jobs in this run."""
        kept = Kept() if self.asked.of_all_jobs else self.kept
        results, methods = str(self.own.places.results), frozenset(self.methods.values())
        found = settled(kept, self._sources, self._besides, methods, results)
        looked_at = {name for name in found if self.asked.names(name)}
        return (found - looked_at) | self.taken.unread.keys()

    @cached_property
    def unsettled(self) -> list[str]:
        return [name for name in self.taken.inbox.sessions if name not in self.settled]

    @property
    def names_of_jobs(self) -> str:
        """Those that a session's rules are for, as a pattern. What is settled is taken as it is:
        no rule makes it. No session is called '-'."""
        return "|".join(self.unsettled or ["-"]) if self.settled else "[a-z0-9-]+"

    def mend(self, jobs: SnakemakeJobs, is_dry: bool) -> None:
        """Have what is not as it was made redone and told, and note the rest at the end of every
        run, also of one that fails or finds nothing to do."""
        jobs.mend()
        atexit.register(self.redoing.tell)
        if not is_dry:
            atexit.register(self._seal, jobs)
            atexit.register(self._clear_ended, jobs)

    @cached_property
    def _sources(self) -> dict[str, str]:
        """All of the inbox that each session is made from."""
        return {name: self.of_sessions.sources_hashed(name) for name in self.taken.inbox.sessions}

    @cached_property
    def _besides_by_devices(self) -> dict[Devices, str]:
        return {}

    def _besides(self, devices: Devices) -> str:
        """What sessions with these devices depend on besides their files and methods."""
        if devices not in self._besides_by_devices:
            register, bench = self.of_sessions.register_with(devices)
            self._besides_by_devices[devices] = hashed([self.rules, register, bench])
        return self._besides_by_devices[devices]

    def _seal(self, jobs: SnakemakeJobs) -> None:
        """Note what is as it was made, and the sessions that are up to date."""
        standing = jobs.standing()
        self.redoing.confirm(standing)
        done = {
            name: sealed(
                self._sources[name],
                self.of_sessions.named_by_card(name),
                self._besides,
                own,
                self.look.notes,
            )
            for name, own in self.redoing.sessions_done(standing).items()
        }
        now = sealed_again(self.kept, self._sources, done, self.look.notes)
        keep(self.own.places.results, self.kept, now)

    def _clear_ended(self, jobs: SnakemakeJobs) -> None:
        """Once nothing names it any more, for a run may make less than a session or the report."""
        places, moved = self.own.places, self.redoing.moved
        standing = jobs.standing()
        done = self.redoing.sessions_done(standing)
        ended = ended_raw_files(places, {name: self.of_sessions.raw_names(name) for name in done})
        moved |= clear_raw_files(places, ended)
        self.look.forget(ended)
        if folders := self.redoing.done(standing, "publish_session"):
            called = {folder.rpartition("/")[2] for folder in folders}
            here = {name: one for name, one in self.publishing.addresses.items() if one in called}
            take_published_but(places, here)
        if self.redoing.done(standing, "data_page"):
            moved |= clear_ended_parts(places, IN_PARTS, self.taken.parts)
            moved |= clear_strangers(places, IN_PARTS, self.taken.parts)
            inbox = self.taken.inbox
            take_pages_but(places, inbox.sessions.keys() | inbox.expected)
