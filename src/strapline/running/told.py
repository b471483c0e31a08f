"""What the tester was told at the end of earlier runs, so that nobody reads a line twice."""

from __future__ import annotations

import re
from pathlib import Path

from pydantic import BaseModel

from strapline.ground.files import keep_note, model_at, write_model

NAME = "told.json"


class Said(BaseModel, frozen=True):
    """Of a session: the SHA-256 of its exports, in order, and of its card, and what each stream of
    an export was called, when its verdict and the advice were told."""

    exports: tuple[str, ...]
    card: str | None
    verdict: str
    advice: tuple[str, ...] = ()
    labels: dict[str, str] = {}

    @property
    def files(self) -> set[str]:
        """The SHA-256 of all, used or set aside."""
        return {stream.partition(".")[0] for stream in self.labels}


class Told(BaseModel, frozen=True):
    """`advice`: what is told once for the whole bench; `standing`: what stays as it is until
    somebody changes it, such as files set aside, by heading; `edition`: number of the last one told
    of; `changed`: the sessions that the last run changed which changed any."""

    sessions: dict[str, Said] = {}
    advice: tuple[str, ...] = ()
    standing: dict[str, tuple[str, ...]] = {}
    edition: int = 0
    changed: tuple[str, ...] = ()


def told_before(results: Path) -> Told | None:
    """None where there was no run, or its note cannot be read."""
    return model_at(results / NAME, Told)


def forget(results: Path, session: str) -> None:
    """Keep nothing more of what was told of a session."""
    told = told_before(results)
    if told is None:
        return
    named = re.compile(rf"(?<![\w-]){re.escape(session)}(?![\w-])").search
    without = {
        "sessions": {name: said for name, said in told.sessions.items() if name != session},
        "standing": {
            heading: tuple(line for line in lines if not named(line))
            for heading, lines in told.standing.items()
        },
        "changed": tuple(name for name in told.changed if name != session),
    }
    kept = told.model_copy(update=without)
    if kept != told:
        write_model(results / NAME, kept)


def note(results: Path, told: Told) -> None:
    """It only keeps lines short."""
    keep_note(results / NAME, told)
