import datetime as dt

import numpy as np
import pandas as pd
import pytest

from strapline.session.span import span_of

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
