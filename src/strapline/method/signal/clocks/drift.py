"""Whether one clock runs faster than the other over a long session, and by how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strapline.method.signal.clocks.heart_rate_search import (
    LARGEST_LEAD_S,
    Demands,
    OffsetSearch,
    objection,
    search_offset,
)

SHORTEST_S = 3600
# From the 95 % interval to a standard error, and from there to 99 %.
INTERVAL_IN_ERRORS = 2 * 1.96
ERRORS_FOR_CERTAINTY = 2.576
# Offsets are rounded to a tenth of a second, and intervals of few blocks are too narrow.
SMALLEST_ERROR_S = 0.2


@dataclass(frozen=True)
class Drift:
    """How the offset grew evenly: from the middle of a session's first third, `first_at_s` after
    its start, to that of the last, in s; and by how much in an hour."""

    first_s: float
    last_s: float
    first_at_s: float
    per_hour_s: float

    def offset_at(self, elapsed_s: float) -> float:
        """The offset to add so many seconds after the session's start, in s."""
        return self.first_s + self.per_hour_s / 3600 * (elapsed_s - self.first_at_s)


def find_drift(
    reference: np.ndarray,
    device: np.ndarray,
    search_s: int,
    shortest_overlap_s: float,
    demands: Demands,
) -> Drift | None:
    """Compare the offsets of the first and the last third; series as for `search_offset`.

    None for sessions under an hour, and where a third tells no offset, as also happens if the
    clocks drift so fast that they part by more than some 4 s within a third. The change must be
    beyond chance at 99 %, errors of the thirds adding as independent ones (common practice, no
    source), and larger than a sensor's delay differs from warm-up to cool-down. The middle third
    must lie on the line between the two, else the change may have been a jump.
    """
    third = reference.size // 3
    if reference.size < SHORTEST_S:
        return None
    parts = []
    for start in (0, third, 2 * third):
        ours = reference[start : start + third]
        theirs = device[start : start + third + 2 * search_s]
        found = search_offset(ours, theirs, search_s, shortest_overlap_s)
        if found is None or objection(found, demands, search_s) is not None:
            return None
        parts.append(found)
    first, middle, last = parts
    change = last.offset_s - first.offset_s
    reach = ERRORS_FOR_CERTAINTY * float(np.hypot(_error(first), _error(last)))
    if abs(change) <= max(reach, LARGEST_LEAD_S) or not _on_line(first, middle, last):
        return None
    return Drift(first.offset_s, last.offset_s, third / 2, change / (2 * third) * 3600)


def _on_line(first: OffsetSearch, middle: OffsetSearch, last: OffsetSearch) -> bool:
    aside = abs(middle.offset_s - (first.offset_s + last.offset_s) / 2)
    error = np.hypot(_error(middle), np.hypot(_error(first), _error(last)) / 2)
    return bool(aside <= ERRORS_FOR_CERTAINTY * error)


def _error(found: OffsetSearch) -> float:
    return max((found.high_s - found.low_s) / INTERVAL_IN_ERRORS, SMALLEST_ERROR_S)
