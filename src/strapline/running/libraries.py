"""Libraries that compute and are others than those that results were made with: what is recomputed
for that, said before it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.versions import versions
from strapline.ground.words import in_figures, listed
from strapline.keeping.made_with import other_libraries

if TYPE_CHECKING:
    from strapline.keeping.receipts import Receipt


class Libraries:
    def __init__(self) -> None:
        # By library and version: stages, each with the sessions of its jobs, None for the archive.
        self._jobs: dict[tuple[str, str], dict[str, set[str | None]]] = {}

    def note(self, receipt: Receipt | None, session: str | None) -> None:
        """A job of which it is known that its method is not that of now."""
        if receipt is None:
            return
        for change in other_libraries(receipt).items():
            self._jobs.setdefault(change, {}).setdefault(receipt.stage, set()).add(session)

    def told(self) -> str:
        """'scipy 1.17.0 is now 1.17.1: measure will be recomputed for 412 sessions.' What is said
        over all sessions follows from that, and is named only where no session's is recomputed."""
        return "".join(
            f"{library} {old} is now {versions()[library]}: {_recomputed(stages)}.\n"
            for (library, old), stages in self._jobs.items()
        )


def _recomputed(stages: dict[str, set[str | None]]) -> str:
    sessions = set().union(*stages.values()) - {None}
    of_sessions = [stage for stage, found in stages.items() if found & sessions]
    said = f"{listed(of_sessions or list(stages))} will be recomputed"
    if not sessions:
        return said
    return f"{said} for {in_figures(len(sessions), 'session')}"
