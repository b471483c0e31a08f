"""What in the inbox belongs to no session, told with names and without them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

MOST_NAMED = 3
# Where a sentence has the names.
HERE = "{}"


class LeftAlone(NamedTuple):
    """`told` names the files, for whoever started the run. The report says `nameless`, for a file
    may be called after a person."""

    told: str
    nameless: str

    @classmethod
    def saying(cls, text: str, named: str, nameless: str) -> LeftAlone:
        """A sentence that has HERE in place of what is named, or not."""
        return cls(text.replace(HERE, named, 1), text.replace(HERE, nameless, 1))

    def within(self, folder: str) -> LeftAlone:
        return LeftAlone(f"{folder}: {self.told}", f"{folder}: {self.nameless}")


def first_of(names: Sequence[str]) -> str:
    """The first few names, and how many more there are."""
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
