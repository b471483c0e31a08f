"""Times without a unit, in that in which they last as long as the session's other files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.reading.formats.number_times import UNITS, unit_filling

if TYPE_CHECKING:
    from strapline.reading.session.parsed import Candidate

# Devices are started and stopped by hand; units differ by a factor of six and more.
_LARGEST_ERROR = 0.6


def time_scale(candidate: Candidate, found: Sequence[Candidate]) -> float:
    """What the times of a recording are to be multiplied with, from its first on."""
    told_s, read_s = _told_s(candidate, found), candidate.export.unit_s
    return told_s / read_s if told_s and read_s else 1.0


def told(candidate: Candidate, found: Sequence[Candidate]) -> str | None:
    """A word on a unit that other files tell, or None."""
    told_s = _told_s(candidate, found)
    if told_s is None:
        return None
    return (
        f"Its times have no unit; they are read as {UNITS[told_s]}, for then it lasts about as "
        "long as the session's other files."
    )


def _told_s(candidate: Candidate, found: Sequence[Candidate]) -> float | None:
    """The unit, in seconds, in which it lasts as long as each of the files that state theirs."""
    export = candidate.export
    if export.unit_s is None:
        return None
    others = (c.export for c in found if c.set_aside is None and c.export.file != export.file)
    lengths = [other.length_s for other in others if other.unit_s is None and other.length_s]
    units = {unit_filling(export.length_s, one, export.unit_s, _LARGEST_ERROR) for one in lengths}
    return units.pop() if len(units) == 1 else None
