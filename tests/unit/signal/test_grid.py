import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from strapline.method.signal.grid import seconds_spanned, values_at


def test_a_second_on_a_sample_has_that_sample():
    time, value = np.array([10.0, 11, 13]), np.array([60.0, 70, 90])
    assert list(values_at(np.arange(10.0, 14), time, value, 10)) == [60, 70, 80, 90]


def test_nothing_is_carried_over_a_long_gap_or_beyond_the_ends():
    time, value = np.array([10.0, 20, 31]), np.array([60.0, 70, 81])
    at = values_at(np.array([9.0, 10, 15, 20, 25, 31, 32]), time, value, 10)
    assert np.array_equal(at, [np.nan, 60, 65, 70, np.nan, 81, np.nan], equal_nan=True)


def test_empty():
    assert np.isnan(values_at(np.array([1.0]), np.array([]), np.array([]), 10)).all()
    assert seconds_spanned(np.array([])).size == 0


@given(st.lists(st.integers(0, 500), min_size=2, unique=True))
def test_as_numpy_where_gaps_are_short(times):
    time = np.array(sorted(times), dtype=float)
    value = np.sin(time) * 50 + 100
    seconds = seconds_spanned(time)
    assert np.allclose(values_at(seconds, time, value, 501), np.interp(seconds, time, value))
