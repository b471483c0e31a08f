"""Peaks of a curve and first-order responses, against scipy's."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import find_peaks, lfilter

from strapline.method.episodes.delay import smoothed
from strapline.method.episodes.local_peaks import local_peaks


def expected(values, prominence, apart):
    return find_peaks(values, prominence=prominence, distance=apart)[0].tolist()


@settings(max_examples=500)
@given(
    st.lists(st.integers(0, 6) | st.just(-np.inf), max_size=60),
    st.integers(0, 5),
    st.integers(1, 12),
)
def test_levels_ends_and_gaps_as_scipy(values, prominence, apart):
    # Made different, since scipy does not say which of two equally high peaks counts.
    curve = np.array(values, float) + 1e-6 * (np.arange(len(values)) // 3)
    assert local_peaks(curve, prominence, apart).tolist() == expected(curve, prominence, apart)


@pytest.mark.parametrize("seed", range(10))
def test_a_heart_rate_as_scipy(seed):
    random = np.random.default_rng(seed)
    curve = 130 + np.cumsum(random.normal(0, 1.5, 5000))
    found = local_peaks(curve, 15.0, 30).tolist()
    assert found == expected(curve, 15.0, 30)
    assert found


@pytest.mark.parametrize("tau_s", [5.0, 34.0])
def test_a_first_order_response_as_scipy(tau_s):
    rates = 130 + np.cumsum(np.random.default_rng(1).normal(0, 2, 300))
    keep = np.exp(-1 / tau_s)
    theirs = lfilter([1 - keep], [1, -keep], rates, zi=[keep * rates[0]])[0]
    assert smoothed(rates, tau_s) == pytest.approx(theirs, rel=1e-12)
