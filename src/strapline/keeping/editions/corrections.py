"""Corrections of what was published: why, as the tester says, and which figures moved with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pandas as pd

# The place of a correction among what is published, and its name there.
CORRECTIONS = "corrections"


@dataclass(frozen=True)
class Correction:
    """`moved`: the session's rows of CHANGES; none where no published figure moved."""

    session: str
    why: str
    moved: pd.DataFrame


def corrections(changes: Sequence[pd.DataFrame]) -> Iterator[Correction]:
    """Each session's latest, the newest first; `changes`: of each edition, oldest first, a frame
    under CHANGES.

    Figures move with the run that first reads a mended card; who says why afterwards makes one
    edition more, in which nothing else moved. A session that was published corrected has none.
    """
    seen: set[str] = set()
    for place in reversed(range(len(changes))):
        rows = changes[place]
        for said in rows[rows["place"] == CORRECTIONS].itertuples():
            session = str(said.session)
            if session not in seen and said.change != "gone":
                moved = _moved(changes[place], session)
                if moved.empty and place:
                    moved = _moved(changes[place - 1], session)
                if not _is_new(changes[place], session):
                    yield Correction(session, str(said.wording_after), moved)
            seen.add(session)


def _moved(changes: pd.DataFrame, session: str) -> pd.DataFrame:
    return changes[(changes["session"] == session) & (changes["change"] == "moved")]


def _is_new(changes: pd.DataFrame, session: str) -> bool:
    """Whether figures of the session were first published there."""
    own = changes[(changes["session"] == session) & (changes["place"] != CORRECTIONS)]
    return bool(len(own)) and bool((own["change"] == "new").all())
