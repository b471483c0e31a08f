"""What is recomputed because the method is another than results were made by, said before it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from strapline.ground.settings import Settings
from strapline.ground.versions import versions
from strapline.ground.words import in_figures, listed
from strapline.keeping.made_with import is_of_this_code, other_libraries, other_settings
from strapline.keeping.receipts import Receipt

# A session's stages, in the order in which they follow each other.
FLOW: tuple[str, ...] = ("parse", "screen", "intake", "normalise", "align", "measure", "episodes")
FLOW += ("consequences", "chart", "session_page")
ANOTHER_STRAPLINE = "These results were made by an earlier version of Strapline"


class Recomputed:
    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        # By cause: stages, each with the sessions of its jobs, None for the archive.
        self._jobs: dict[str, dict[str, set[str | None]]] = {}
        # The causes of receipts by stage and method, for those of many sessions are alike.
        self._known: dict[tuple[str, str], list[str]] = {}

    def note(self, receipt: Receipt | None, session: str | None) -> None:
        """A job of which it is known that its method is not that of now."""
        if receipt is None:
            return
        key = (receipt.stage, receipt.method)
        if key not in self._known:
            self._known[key] = list(self._causes(receipt))
        for cause in self._known[key]:
            self._jobs.setdefault(cause, {}).setdefault(receipt.stage, set()).add(session)

    def _causes(self, receipt: Receipt) -> Iterator[str]:
        libraries = other_libraries(receipt)
        for library, old in libraries.items():
            yield f"{library} {old} is now {versions()[library]}"
        if is_of_this_code(receipt):
            for name, then, now in other_settings(receipt, self._settings):
                yield f"{name} {_value(then)} is now {_value(now)}"
        elif not libraries:
            yield ANOTHER_STRAPLINE

    def told(self) -> str:
        """'scipy 1.17.0 is now 1.17.1: measure will be recomputed for 412 sessions.' What is said
        over all sessions follows from that, and is named only where no session's is recomputed."""
        return "".join(f"{cause}: {_jobs(stages)}.\n" for cause, stages in self._jobs.items())


def _jobs(stages: dict[str, set[str | None]]) -> str:
    sessions = set().union(*stages.values()) - {None}
    of_sessions = [stage for stage in _in_order(stages) if stages[stage] & sessions]
    said = f"{listed(of_sessions or _in_order(stages))} will be recomputed"
    if not sessions:
        return said
    return f"{said} for {in_figures(len(sessions), 'session')}"


def _value(value: object) -> str:
    """As one would write it in the settings; a list without signs."""
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "(none)"
    return str(value)


def _in_order(stages: Iterable[str]) -> list[str]:
    return sorted(stages, key=lambda stage: (*FLOW, stage).index(stage))
