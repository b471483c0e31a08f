"""Whether one clock runs faster than the other over a long session, and by how much."""

from dataclasses import dataclass

import numpy as np

from strapline.ground.words import shift
from strapline.method.signal.clocks.heart_rate_search import (
    Demands,
    OffsetSearch,
    objection,
    search_offset,
)

SHORTEST_S = 3600
# A sensor's delay differs by a second from warm-up to cool-down; that is no drift.
SMALLEST_CHANGE_S = 2.0
# From the 95 % interval to a standard error, and from there to 99 %.
INTERVAL_IN_ERRORS = 2 * 1.96
ERRORS_FOR_CERTAINTY = 2.576
# Offsets are rounded to a tenth of a second, and intervals of few blocks are too narrow.
SMALLEST_ERROR_S = 0.2


@dataclass(frozen=True)
class Drift:
    """How the offset changed from the first third of a session to the last.

    change_s, low_s, high_s
        Change of the offset between the middles of the two thirds, with a 99 % interval.
    per_hour_s
        The same for an hour.
    first_s, first_at_s
        The offset in the first third, and the second of the session it holds for.
    shown
        Whether the change is beyond chance, larger than sensors cause, and even: only then it
        may be corrected. `reason` says so.
    """

    change_s: float
    low_s: float
    high_s: float
    per_hour_s: float
    first_s: float
    first_at_s: float
    shown: bool
    reason: str

    def offsets(self, elapsed_s: np.ndarray) -> np.ndarray:
        """The offset to add at each of these seconds of the session, in s."""
        slope = self.per_hour_s / 3600
        offsets: np.ndarray = self.first_s + slope * (elapsed_s - self.first_at_s)
        return offsets


def find_drift(
    reference: np.ndarray,
    device: np.ndarray,
    search_s: int,
    shortest_overlap_s: float,
    demands: Demands,
) -> Drift | None:
    """Compare the offsets of the first and the last third; series as for `search_offset`.

    None for sessions under an hour, and where either third tells no offset, as also happens if
    the clocks drift so fast that they part by more than some 4 s within a third. The middle
    third must lie on the line between the two, else the change may have been a jump and is not
    corrected. Errors of the thirds add as independent ones (common practice, no source).
    """
    third = reference.size // 3
    if reference.size < SHORTEST_S:
        return None
    parts = []
    for start in (0, third, 2 * third):
        ours = reference[start : start + third]
        theirs = device[start : start + third + 2 * search_s]
        found = search_offset(ours, theirs, search_s, shortest_overlap_s)
        told = found is not None and objection(found, demands, search_s) is None
        parts.append(found if told else None)
    first, middle, last = parts
    return None if first is None or last is None else _judged(first, middle, last, third)


def _judged(
    first: OffsetSearch, middle: OffsetSearch | None, last: OffsetSearch, third: int
) -> Drift:
    change = last.offset_s - first.offset_s
    reach = ERRORS_FOR_CERTAINTY * float(np.hypot(_error(first), _error(last)))
    per_hour = change / (2 * third) * 3600
    beyond = abs(change) > reach and abs(change) >= SMALLEST_CHANGE_S
    even = middle is not None and _on_line(first, middle, last)
    span = f"from {shift(first.offset_s)} in the first third to {shift(last.offset_s)}"
    if not beyond:
        reason = f"No drift between the clocks is shown: the offset goes {span} in the last."
    elif not even:
        between = f"{shift(middle.offset_s)}" if middle else "none to be told"
        reason = (
            f"The offset goes {span} in the last, but not evenly ({between} in the middle): "
            "a jump perhaps, and not corrected as a drift."
        )
    else:
        reason = (
            f"The clocks drift by {shift(per_hour)} an hour: the offset goes {span} in the "
            "last, evenly."
        )
    return Drift(
        change_s=change,
        low_s=change - reach,
        high_s=change + reach,
        per_hour_s=per_hour,
        first_s=first.offset_s,
        first_at_s=third / 2,
        shown=beyond and even,
        reason=reason,
    )


def _on_line(first: OffsetSearch, middle: OffsetSearch, last: OffsetSearch) -> bool:
    aside = abs(middle.offset_s - (first.offset_s + last.offset_s) / 2)
    error = np.hypot(_error(middle), np.hypot(_error(first), _error(last)) / 2)
    return bool(aside <= ERRORS_FOR_CERTAINTY * error)


def _error(found: OffsetSearch) -> float:
    return max((found.high_s - found.low_s) / INTERVAL_IN_ERRORS, SMALLEST_ERROR_S)
