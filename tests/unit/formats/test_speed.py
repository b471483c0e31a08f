"""Speed from distances and positions."""

import numpy as np
import pytest

from strapline.reading.formats.speed import Way, path_m, speed_m_s


def test_the_slope_is_centred_on_its_time():
    """Of distance t², worked out by hand: 2 t, also where samples are unevenly apart."""
    times = np.array([0.0, 1, 2, 5, 6, 9])
    np.testing.assert_allclose(speed_m_s(times, times**2)[1:-1], 2 * times[1:-1])


def test_what_is_missing_has_no_speed_and_breaks_none():
    times = np.array([0.0, 1, np.nan, 3, 4])
    found = speed_m_s(times, np.array([0, 3, 6, np.nan, 12.0]))
    np.testing.assert_allclose(found, [3, 3, np.nan, np.nan, 3])


def test_a_distance_that_starts_again_is_no_speed():
    found = speed_m_s(np.arange(6.0), np.array([0.0, 5, 10, 0, 5, 10]))
    assert np.isnan(found[2:4]).all()
    assert found[1] == found[5] == 5


def test_a_time_that_goes_back_has_no_speed():
    found = speed_m_s(np.array([0.0, 2, 1, 2, 3]), np.array([0.0, 2, 9, 9, 3]))
    np.testing.assert_allclose(found, [1, 1, np.nan, np.nan, 1])
    assert np.isnan(speed_m_s(np.array([1.0]), np.array([5.0]))).all()


def test_a_degree_of_the_meridian_is_as_long_as_the_navigators_have_it():
    """60 nautical miles of 1,852 m (BIPM, SI brochure), for that is what the mile was made by; the
    earth is no sphere, so to half a percent."""
    path = path_m(np.array([0.0, np.nan, 1.0]), np.array([10.0, 10.0, 10.0]))
    assert path[0] == 0
    assert np.isnan(path[1])
    assert path[2] == pytest.approx(60 * 1852, rel=0.005)


def test_a_degree_of_longitude_is_shorter_in_the_north():
    """At 60° north by its cosine, a half."""
    at_equator = path_m(np.zeros(2), np.array([0.0, 0.01]))[1]
    in_the_north = path_m(np.full(2, 60.0), np.array([0.0, 0.01]))[1]
    assert in_the_north == pytest.approx(at_equator / 2, rel=1e-4)


def test_no_position_gives_no_path():
    nowhere = np.full(3, np.nan)
    assert np.isnan(path_m(nowhere, nowhere)).all()


def test_one_place_is_no_way():
    nowhere = np.full(3, np.nan)
    east = np.array([8.0, 8.0, np.nan])
    assert not Way(nowhere, np.array([50.0, 50.0, np.nan]), east, nowhere).moves()
    assert Way(nowhere, np.array([50.0, 50.1, np.nan]), east, nowhere).moves()
