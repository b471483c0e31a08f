"""Bands of effort and maximum heart rate."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.method.agreement.effort import (
    EFFORT_BANDS,
    effort_bands,
    maximum_by_age,
    maximum_heart_rate,
)


def names(rates, maximum):
    return [EFFORT_BANDS[band] for band in effort_bands(np.array(rates, float), maximum)]


def test_bands_of_the_college_at_their_edges():
    # With a maximum of 100 bpm a rate is its own percentage.
    assert names([0, 56, 57, 63, 64, 76, 77, 95, 96, 120], 100) == [
        *["very_light"] * 2,
        *["light"] * 2,
        *["moderate"] * 2,
        *["vigorous"] * 2,
        *["near_maximal"] * 2,
    ]
    assert names([63.9], 100) == ["light"]


@given(st.floats(100, 220), st.sampled_from([57, 64, 77, 96]))
def test_an_edge_is_an_edge_at_any_maximum(maximum, percent):
    below, at = effort_bands(np.array([percent - 0.001, percent]) * maximum / 100, maximum)
    assert at == below + 1


def test_missing_rates_are_in_no_band():
    assert effort_bands(np.array([np.nan, 150.0]), 190).tolist() == [-1, 3]


@pytest.mark.parametrize("maximum", [0, -5, np.nan, np.inf])
def test_impossible_maximum(maximum):
    with pytest.raises(ValueError, match="no maximum"):
        effort_bands(np.array([100.0]), maximum)


def test_maximum_by_age():
    # Tanaka 2001: 208 - 0.7 age; Nes 2013: 211 - 0.64 age.
    assert maximum_by_age(40, "tanaka_2001") == pytest.approx(180)
    assert maximum_by_age(40, "nes_2013") == pytest.approx(185.4)


def test_what_is_stated_goes_first():
    assert maximum_heart_rate(191, 40, 185, "tanaka_2001") == MaximumHeartRate(191, "stated")
    assert maximum_heart_rate(None, 40, 185, "tanaka_2001") == MaximumHeartRate(180, "tanaka_2001")
    assert maximum_heart_rate(None, 50, 185, "nes_2013") == MaximumHeartRate(179, "nes_2013")
    assert maximum_heart_rate(None, None, 185, "tanaka_2001") == MaximumHeartRate(185, "observed")
