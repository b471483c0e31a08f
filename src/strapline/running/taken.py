"""What a run takes of the inbox: the sessions that it makes anew where needed, and those that stay
as they were made, for they cannot be read now."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from strapline.ground.settings import Settings
from strapline.ground.tables.parts import parts
from strapline.keeping.receipts import Places
from strapline.reading.inbox.discovery import Inbox, read_inbox
from strapline.reading.inbox.raw_files import being_copied, contents, doubles
from strapline.running.missing import known_sessions
from strapline.running.unread import broken, closed, is_whole, keeping, locked, without

# Given what was found, the sessions of the last report with the names of their folders, and those
# that may not be read, with why.
Agreed = Callable[[Inbox, Mapping[str, str], Mapping[str, str]], None]


@dataclass(frozen=True)
class Taken:
    """`contents`: the SHA-256 of every export and card; `unread`: sessions that stay as they were
    made, and why; `no_more`: those that have results and are in the inbox no more."""

    inbox: Inbox
    contents: dict[Path, str]
    unread: dict[str, str]
    no_more: tuple[str, ...]

    @cached_property
    def parts(self) -> dict[str, list[str]]:
        """The sessions of each part of the archive."""
        return parts(self.inbox.sessions)


def take(places: Places, settings: Settings, agreed: Agreed) -> Taken:
    """Read the inbox. `agreed` is asked whether to go on."""
    known = known_sessions(places.results)
    inbox = read_inbox(places.inbox, settings, places.results, being_copied(places.inbox))
    shut = closed(inbox, known, places.inbox)
    agreed(inbox, known, shut)
    found = contents(inbox.raw_files, places.inbox, places.results / "raw_files.json")
    # What cannot be read or written now stays as it is; there is no job for it.
    unwritable = locked(inbox, places)
    faults = unwritable | broken(inbox, known, places.inbox, found) | shut
    unread = {name: why for name, why in faults.items() if name in known and is_whole(name, places)}
    waiting = unwritable | doubles(inbox, found, known)
    inbox = without(inbox, {name: why for name, why in waiting.items() if name not in unread})
    inbox = keeping(inbox, {name: known[name] for name in unread})
    made = {path.parent.name for path in (places.results / "sessions").glob("*/intake.json")}
    no_more = sorted(made - inbox.sessions.keys() - inbox.expected - shut.keys())
    return Taken(inbox, found, unread, tuple(no_more))
