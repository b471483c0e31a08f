"""From when to when an export's times go, in which unit, and what is wrong with their clock."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import pandas as pd

from strapline.ground.tables.recordings import FARTHEST_HOURS, is_far_off
from strapline.reading.formats.number_times import UNITS, unit_filling

if TYPE_CHECKING:
    from strapline.reading.session.parsed import Candidate


# Further away no clock is set, and what is added to a time would leave the calendar.
EARLIEST = pd.Timestamp("1902-01-01", tz="UTC")
LATEST = pd.Timestamp("2199-01-01", tz="UTC")
# Seconds since a device was switched on, taken for seconds since 1970, stay below for two years.
FIRST_DATE = pd.Timestamp("1972-01-01", tz="UTC")


@dataclass(frozen=True)
class ClockFault:
    """What a file's clock did, as a sentence without its end.

    'undated': its times go on as they should and give no date. 'broken': no part of it can be
    told to be right. 'jump': the smaller part is left out.
    """

    kind: Literal["undated", "broken", "jump"]
    what: str


def span_of(times: pd.Series) -> tuple[dt.datetime, dt.datetime] | None:
    """First and last of the times, or None; one that a broken clock wrote does not count."""
    known = times[times.between(EARLIEST, LATEST)]
    known = known[~is_far_off(known)]
    return None if known.empty else (known.min().to_pydatetime(), known.max().to_pydatetime())


def clock_fault(times: pd.Series) -> ClockFault | None:
    """What is wrong with the times, in file order, if anything is."""
    known = times.dropna()
    if known.empty:
        return None
    far, typical = is_far_off(known), pd.Timestamp(known.median())
    if far.all():
        return ClockFault("broken", f"{_jump(known)}, and no half of it can be told to be right")
    if not EARLIEST <= typical <= LATEST:
        return ClockFault("undated", f"Its times are of the year {typical.year}")
    if typical < FIRST_DATE:
        return ClockFault(
            "undated",
            f"Its times go from {_told(known[~far].min())} on: they count from when the device was "
            "switched on, and give no date",
        )
    if far.any():
        return ClockFault(
            "jump",
            f"{_jump(known)}; {far.sum()} of its {len(known)} times are more than "
            f"{FARTHEST_HOURS} hours from the others and not used",
        )
    return None


def _jump(known: pd.Series) -> str:
    steps = known.diff().abs() > pd.Timedelta(hours=FARTHEST_HOURS)
    if not steps.any():
        return f"Its times go from {_told(known.min())} to {_told(known.max())}"
    place = int(steps.to_numpy().argmax())
    before, after = known.iloc[place - 1], known.iloc[place]
    return f"Its clock jumps from {_told(before)} to {_told(after)} in mid-file"


def _told(time: pd.Timestamp) -> str:
    """In UTC; also of years that the calendar of `strftime` does not know."""
    return time.tz_localize(None).isoformat(" ", "seconds")


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
