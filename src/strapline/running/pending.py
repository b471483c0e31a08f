"""What the next run will compute, as far as one can know it without Snakemake: what is new or other
in the inbox, in the register or in what is known of wearers, and what another method asks for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from strapline.ground.records.card import Body
from strapline.ground.records.intake import read_intake
from strapline.keeping.as_made.settled import Kept, kept_in
from strapline.keeping.provenance import canonical, code_kept, fingerprints
from strapline.keeping.receipts import read_receipt, receipt_path
from strapline.running.news import is_told_otherwise
from strapline.running.own import Own
from strapline.running.params import OfSessions
from strapline.running.recomputed import Recomputed
from strapline.running.taken import Taken
from strapline.running.told import Told

# The names of what jobs make of one session.
_OF_SESSION = re.compile(r"results/(?:report/)?sessions/([a-z0-9-]+)(?:/|\.html$)")


@dataclass(frozen=True)
class Pending:
    """`told`: what the last runs told of each session."""

    own: Own
    taken: Taken
    told: Told

    def sessions(self) -> Iterator[str]:
        """Those that are new, or of which what they are made from is another."""
        made = self.own.places.results / "sessions"
        for name in self.taken.inbox.sessions:
            if not (made / name / "ledger.json").exists() or (
                name not in self.taken.unread and self._is_other(name)
            ):
                yield name

    def recomputed(self) -> str:
        """What the method of now asks for, a line a cause, as a run says it."""
        with code_kept(self.own.places.results / "code.json"):
            methods = fingerprints(self.own.settings)
        found = Recomputed(self.own.settings)
        for name, note in self._kept.notes.items():
            stage, _, _ = note.method.partition(":")
            of = _OF_SESSION.match(name)
            is_of_now = of is None or of[1] in self.taken.inbox.sessions
            if is_of_now and methods.get(stage, note.method) != note.method:
                receipt = read_receipt(receipt_path(self.own.places, name))
                found.note(receipt, of[1] if of else None)
        return found.told()

    @cached_property
    def _kept(self) -> Kept:
        return kept_in(self.own.places.results)

    @cached_property
    def _of_sessions(self) -> OfSessions:
        return OfSessions(self.own, self.taken, self._kept)

    def _is_other(self, session: str) -> bool:
        seal = self._kept.seals.get(session)
        if seal is None:
            return self._was_told_otherwise(session)
        if seal.sources != self._of_sessions.sources_hashed(session) and (
            session not in self.told.sessions
            or self._was_told_otherwise(session)
            or self._may_have_another_body(session)
        ):
            return True
        intake = f"results/sessions/{session}/intake.json"
        receipt = read_receipt(receipt_path(self.own.places, intake))
        used, _ = self._of_sessions.register_with(self._of_sessions.named_by_card(session))
        return receipt is not None and receipt.devices != canonical(used)

    def _may_have_another_body(self, session: str) -> bool:
        """Where wearers.yaml is another: whether it says something of this one's, or said so."""
        wearer = self.taken.inbox.sessions[session].glance.wearer
        intake = self.own.places.results / "sessions" / session / "intake.json"
        return wearer in self.own.wearers.wearers or read_intake(intake).body != Body()

    def _was_told_otherwise(self, session: str) -> bool:
        said, there = self.told.sessions.get(session), self.taken.inbox.sessions[session]
        return said is not None and is_told_otherwise(said, there, self.taken)
