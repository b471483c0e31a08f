"""Times without a unit, in that in which they last as long as the session's other files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from strapline.reading.formats.number_times import UNITS, unit_filling

if TYPE_CHECKING:
    from strapline.reading.session.parsed import Candidate, ParsedExport

# Devices are started and stopped by hand; units differ by a factor of six and more.
_LARGEST_ERROR = 0.6


def time_scale(candidate: Candidate, found: Sequence[Candidate]) -> float:
    """What the times of a recording are to be multiplied with, from its first on."""
    unit_s = _unit_s(candidate.export, [c.export for c in found if c.set_aside is None])
    return (
        1.0 if unit_s is None or not candidate.export.unit_s else unit_s / candidate.export.unit_s
    )


def told(candidate: Candidate, found: Sequence[Candidate]) -> str | None:
    """A word on a unit that other files tell, or None."""
    unit_s = _unit_s(candidate.export, [c.export for c in found if c.set_aside is None])
    if unit_s is None:
        return None
    return (
        f"Its times have no unit; they are read as {UNITS[unit_s]}, for then it lasts about as "
        "long as the session's other files."
    )


def _unit_s(export: ParsedExport, exports: Sequence[ParsedExport]) -> float | None:
    if export.unit_s is None:
        return None
    others = [
        other.length_s
        for other in exports
        if other.file != export.file and other.unit_s is None and other.length_s
    ]
    units = [unit_filling(export.length_s, o, export.unit_s, _LARGEST_ERROR) for o in others]
    return units[0] if units and None not in units and len(set(units)) == 1 else None
