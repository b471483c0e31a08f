"""Sessions in which a device was unlike itself: held against its own others at that activity."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from strapline.ground.words import bpm, in_words, number, plain
from strapline.telling.report.standings import Standing

# Fewer sessions, this one among them, are no record.
FEWEST = 4
# So many times its usual error, or that part of it, and so many bpm from it.
TIMES, APART_BPM = 2.0, 5.0

# A session's row, the device, and its error there in bpm.
Outing = tuple[Mapping[str, Any], str, float]


def unlike_itself(
    outings: Iterable[Outing], standings: Sequence[Standing]
) -> Iterator[tuple[Mapping[str, Any], str]]:
    """The session's row and what is to be said of it, for each that is far from the usual."""
    record = {(row.activity, row.device): row for row in standings if row.sessions >= FEWEST}
    for session, device, error in outings:
        own = record.get((session["activity"], device))
        if own and _far(error, own.usual_error):
            yield (
                session,
                f"{plain(own.label)} was {bpm(error)} off; in {in_words(own.activity).lower()} "
                f"sessions it is usually {number(own.usual_error)}.",
            )


def _far(error: float, usual: float) -> bool:
    low, high = sorted((error, usual))
    return high >= TIMES * low and high - low >= APART_BPM
