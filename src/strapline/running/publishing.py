"""Where each session is published: see strapline.ground.addresses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from types import SimpleNamespace
from typing import Any

from strapline.ground.addresses import addresses
from strapline.ground.vocabulary import UNSTATED
from strapline.keeping.provenance import canonical
from strapline.keeping.publications import published
from strapline.running.asked import among
from strapline.running.own import Own
from strapline.running.params import Wildcards
from strapline.running.taken import Taken


@dataclass(frozen=True)
class Publishing:
    """`only`: the one session that is asked for, '' for all."""

    own: Own
    taken: Taken
    only: str

    @cached_property
    def addresses(self) -> dict[str, str]:
        """By session. Every card is read for its wearer, so only where something is published."""
        sessions = self.taken.inbox.sessions
        named = {session.glance.wearer for session in sessions.values()}
        named |= self.own.wearers.wearers.keys()
        known = [] if self.own.settings.presentation.name_wearers else named - {UNSTATED}
        titles = {name: session.title for name, session in sessions.items()}
        return addresses(titles, known, published(self.own.places))

    @property
    def asked(self) -> list[str]:
        """The addresses of all that is to be published."""
        return [self.addresses[self.only]] if self.only else list(self.addresses.values())

    def renamed(self, wildcards: object) -> str:
        """The addresses of those that are not called by their names."""
        return canonical({name: one for name, one in self.addresses.items() if name != one})

    def of(self, pattern: str) -> Callable[[Wildcards], str]:
        """Input function: `pattern` for the session that is published there."""
        return self.given(lambda wildcards: pattern.format(session=wildcards.session))

    def given(self, told: Callable[[Any], str]) -> Callable[[Wildcards], str]:
        """What is told of each session, told of the one that is published there."""
        return lambda wildcards: told(SimpleNamespace(session=self._at(wildcards.address)))

    def _at(self, address: str) -> str:
        """Raises DocumentError where no session has the address."""
        return self._sessions[among("address of a session", address, self._sessions)]

    @cached_property
    def _sessions(self) -> dict[str, str]:
        return {address: name for name, address in self.addresses.items()}
