"""What the rules tell Snakemake of each session: files that jobs need, and what besides them their
results depend on."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, Protocol

from strapline.ground.records.raw_tables import raw_name
from strapline.keeping.as_made.settled import Kept, hashed
from strapline.keeping.provenance import canonical
from strapline.reading.inbox.discovery import SessionFolder
from strapline.running.own import Own
from strapline.running.taken import Taken

Devices = tuple[str, ...] | None


class Wildcards(Protocol):
    """What in the names of a job's outputs says which of its rule's it is."""

    session: str
    raw: str
    part: str
    address: str


class OfSessions:
    """`kept`: what the last run noted, for sessions that cannot be read now."""

    def __init__(self, own: Own, taken: Taken, kept: Kept) -> None:
        self._taken = taken
        self._register = own.register
        self._wearers = own.wearers
        self._known_wearers = hashed(own.wearers.model_dump(mode="json"))
        self._kept = kept
        self.named_by_card = cache(self._named_by_card)

    def _named_by_card(self, session: str) -> Devices:
        """The devices that the session's card names, or None where it does not name them all."""
        if session in self._taken.unread and session in self._kept.seals:
            return self._kept.seals[session].devices
        named = self._folder(session).glance.devices
        return None if named is None else tuple(sorted(named))

    def raw_names(self, session: str) -> list[str]:
        """What the tables of a session's files are called, as far as those could be read."""
        exports = self._folder(session).exports
        return sorted({raw_name(self._taken.contents[path]) for path in exports} - {""})

    def of_raw_files(self, pattern: str) -> Callable[[Wildcards], list[str]]:
        """Input function: `pattern` for every raw file of a session that could be read."""
        return lambda wildcards: [
            pattern.format(session=wildcards.session, raw=raw)
            for raw in self.raw_names(wildcards.session)
        ]

    def of_screens(self, pattern: str) -> Callable[[Wildcards], list[str]]:
        """Input function: `pattern` for every screenshot that the session's card says how to
        read."""

        def found(wildcards: Wildcards) -> list[str]:
            folder = self._folder(wildcards.session)
            named = folder.glance.pictures
            screens = {
                raw_name(self._taken.contents[path])
                for path in folder.exports
                if path.name in named
            }
            return [
                pattern.format(session=wildcards.session, raw=raw) for raw in sorted(screens - {""})
            ]

        return found

    def of_part(self, pattern: str) -> Callable[[Wildcards], list[str]]:
        """Input function: `pattern` for every session of a part."""
        return lambda wildcards: [
            pattern.format(session=session) for session in self._taken.parts[wildcards.part]
        ]

    def copies(self, wildcards: Wildcards) -> list[str]:
        """The session's raw files with one content."""
        contents = self._taken.contents
        exports = self._folder(wildcards.session).exports
        return [str(path) for path in exports if raw_name(contents[path]) == wildcards.raw]

    def copies_hashed(self, wildcards: Wildcards) -> str:
        """A name may hold a person's: Snakemake is told a hash of it."""
        return hashed(self.copies(wildcards))

    def export(self, wildcards: Wildcards) -> dict[str, Any]:
        """What parsing reads of the inbox: one of the files with this content."""
        export = self.copies(wildcards)[0]
        content = self._taken.contents[Path(export)]
        return {"raw": [export], "export": export, "content": content}

    def hints(self, wildcards: Wildcards) -> str:
        """What the session's card says of reading this export."""
        names = [path.rpartition("/")[2] for path in self.copies(wildcards)]
        return canonical(self._folder(wildcards.session).glance.hints(names))

    def card(self, wildcards: Wildcards) -> str:
        """The session's card, or none, with its content."""
        card = self._folder(wildcards.session).card
        return canonical([(str(card), self._taken.contents[card])] if card else [])

    def wearer_hashed(self, wildcards: Wildcards) -> str:
        """It is personal: Snakemake is told a hash of it."""
        return hashed([self._wearer(wildcards.session)])

    def _wearer(self, session: str) -> str:
        """What is known of the one whom the session's card names."""
        return canonical(self._wearers.of(self._folder(session).glance.wearer))

    def exports_hashed(self, wildcards: Wildcards) -> str:
        return hashed(list(self._contents(wildcards.session).items()))

    def title(self, wildcards: Wildcards) -> str:
        return self._folder(wildcards.session).title

    def sources(self, wildcards: Wildcards) -> dict[str, Any]:
        """What intake reads of a session in the inbox."""
        folder = self._folder(wildcards.session)
        return {
            "raw": list(map(str, folder.raw_files)),
            "exports": self._contents(wildcards.session),
            "card": [str(folder.card)] if folder.card else [],
            "session": wildcards.session,
            "wearer": self._wearer(wildcards.session),
        }

    def sources_hashed(self, session: str) -> str:
        """All of the inbox that a session is made from, and what is known of wearers: to read
        every card for its wearer would take longer."""
        folder = self._folder(session)
        card = self._taken.contents.get(folder.card) if folder.card else None
        contents = list(self._contents(session).items())
        return hashed([folder.title, card, contents, self._known_wearers])

    def bench(self, wildcards: Wildcards) -> str:
        """The devices under test that give a session its look."""
        return canonical(self.register_with(self.named_by_card(wildcards.session))[1])

    def devices(self, wildcards: Wildcards) -> str:
        """The part of the register a session can use."""
        return canonical(self.register_with(self.named_by_card(wildcards.session))[0])

    def register_with(self, devices: Devices) -> tuple[dict[str, Any], list[str]]:
        """The entries of the devices that a card names, or all of them; the bench up to these."""
        part = self._register if devices is None else self._register.restricted(devices)
        return part.of_files(), self._register.bench(devices)

    def _contents(self, session: str) -> dict[str, str]:
        exports = self._folder(session).exports
        return {str(path): self._taken.contents[path] for path in exports}

    def _folder(self, session: str) -> SessionFolder:
        return self._taken.inbox.sessions[session]
