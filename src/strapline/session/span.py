"""From when to when an export's times go."""

import datetime as dt

import pandas as pd

from strapline.signal.flags import is_far_off

# Further away no clock is set, and what is added to a time would leave the calendar.
EARLIEST = pd.Timestamp("1902-01-01", tz="UTC")
LATEST = pd.Timestamp("2199-01-01", tz="UTC")


def span_of(times: pd.Series) -> tuple[dt.datetime, dt.datetime] | None:
    """First and last of the times, or None; one that a broken clock wrote does not count."""
    known = times[times.between(EARLIEST, LATEST)]
    known = known[~is_far_off(known)]
    return None if known.empty else (known.min().to_pydatetime(), known.max().to_pydatetime())
