"""From when to when an export's times go, and what is wrong with the clock that gave them."""

import datetime as dt
from dataclasses import dataclass
from typing import Literal

import pandas as pd

from strapline.ground.broken_clock import FARTHEST_HOURS, is_far_off

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
