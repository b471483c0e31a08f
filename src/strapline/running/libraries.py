"""Libraries that compute and are others than those that results were made with: what is recomputed
for that, said before it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.versions import versions
from strapline.ground.words import listed
from strapline.keeping.made_with import other_libraries

if TYPE_CHECKING:
    from strapline.keeping.receipts import Receipt

# A library, the version that computed, and the one that is here.
Change = tuple[str, str, str]


class Libraries:
    def __init__(self) -> None:
        self._stages: dict[Change, dict[str, None]] = {}
        self._sessions: dict[Change, set[str]] = {}

    def note(self, receipt: Receipt | None, session: str | None) -> None:
        """A job of which it is known that its method is not that of now."""
        if receipt is None:
            return
        for library, number in other_libraries(receipt).items():
            change = library, number, versions()[library]
            self._stages.setdefault(change, {})[receipt.stage] = None
            self._sessions.setdefault(change, set()).update([session] if session else [])

    def told(self) -> str:
        """'scipy 1.17.0 is now 1.17.1: align and measure will be recomputed for 412 sessions.'"""
        return "".join(
            f"{library} {old} is now {new}: {listed([*self._stages[library, old, new]])} will be "
            f"recomputed{_for_sessions(len(self._sessions[library, old, new]))}.\n"
            for library, old, new in self._stages
        )


def _for_sessions(number: int) -> str:
    if not number:
        return ""
    return f" for {number} session{'s' if number > 1 else ''}"
