import datetime as dt

import numpy as np
import pandas as pd
import pytest

from strapline.reading.session.span import clock_fault, span_of

START = dt.datetime(2026, 3, 2, 18, 5, tzinfo=dt.UTC)
SESSION = np.arange("2026-03-02T18:05:00", "2026-03-02T18:06:00", dtype="datetime64[s]")


def times(*moments):
    """As the tables hold them: milliseconds in UTC."""
    return pd.Series(moments, dtype="datetime64[ms]").dt.tz_localize("UTC")


@pytest.mark.parametrize("astray", ["1970-01-01", "NaT", "0001-01-01", "9999-12-31"])
def test_a_time_astray_does_not_stretch_the_span(astray):
    span = span_of(times(np.datetime64(astray), *SESSION))
    assert span == (START, START + dt.timedelta(seconds=59))


@pytest.mark.parametrize("moments", [["0001-06-01"] * 3, ["9999-06-01"] * 3, ["NaT"], []])
def test_a_file_without_a_time_of_use_has_no_span(moments):
    assert span_of(times(*map(np.datetime64, moments))) is None


def fault(*moments):
    return clock_fault(times(*(np.datetime64(moment) for moment in moments)))


def test_a_clock_that_jumps_is_told_by_where_it_jumps():
    later = SESSION + np.timedelta64(365, "D")
    for late, kind, told in (
        (30, "broken", "no half of it can be told to be right"),
        (50, "jump", "10 of its 60 times are more than 48 hours from the others"),
    ):
        found = fault(*SESSION[:late], *later[late:])
        assert found.kind == kind
        assert f"jumps from 2026-03-02 18:05:{late - 1} to 2027-03-02 18:05:{late}" in found.what
        assert told in found.what
    assert fault(*SESSION) is None


def test_days_without_a_jump_are_told_as_what_they_are():
    days = np.arange("2026-03-01", "2026-03-09", dtype="datetime64[h]")
    assert "go from 2026-03-01 00:00:00 to 2026-03-08 23:00:00" in fault(*days).what


@pytest.mark.parametrize(
    ("first", "told"),
    [
        ("1970-01-01T00:20", "from 1970-01-01 00:20:00 on: they count from when the device"),
        ("9999-03-09T10:00", "of the year 9999"),
        ("0001-03-09T10:00", "of the year 1"),
    ],
)
def test_times_that_are_no_date_are_told_as_such(first, told):
    found = fault(*np.datetime64(first) + np.arange(60, dtype="timedelta64[s]"))
    assert found.kind == "undated"
    assert told in found.what


def test_no_time_is_no_fault_of_the_clock():
    assert fault("NaT", "NaT") is None
    assert fault() is None
