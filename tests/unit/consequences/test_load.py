"""Load and energy against values worked out by hand from the published formulas, and against a
worked example as reprinted (from memory)."""

import numpy as np
import pytest

from strapline.method.consequences.load import banister_trimp, edwards_load, keytel_energy_kj

HALF_AN_HOUR = 1800


@pytest.mark.parametrize(
    ("sex", "expected"),
    [
        # 30 min × 0.7 × 0.64 × exp(1.92 × 0.7) = 13.44 × 3.8343; exp(1.344) by hand.
        ("male", 51.53),
        # 30 min × 0.7 × 0.86 × exp(1.67 × 0.7) = 18.06 × 3.2188; exp(1.169) by hand.
        ("female", 58.13),
    ],
)
def test_half_an_hour_at_seven_tenths_of_the_reserve(sex, expected):
    rate = np.full(HALF_AN_HOUR, 60 + 0.7 * 130)
    assert banister_trimp(rate, 60, 190, sex).sum() == pytest.approx(expected, abs=0.01)


def test_half_an_hour_at_130_bpm_is_32():
    """Resting 40, highest 200 bpm: often reprinted as the example of this formula, from memory."""
    impulse = banister_trimp(np.full(HALF_AN_HOUR, 130.0), 40, 200, "male")
    assert round(impulse.sum()) == 32


def test_at_rest_and_below_there_is_no_impulse():
    assert banister_trimp(np.full(600, 55.0), 60, 190, "male").sum() == 0


def test_no_reserve_is_refused():
    with pytest.raises(ValueError, match="must be above"):
        banister_trimp(np.full(60, 100.0), 190, 190, "male")


def test_zones_are_weighed_one_to_five():
    """Ten minutes below all zones and in each: 10 × (0 + 1 + 2 + 3 + 4 + 5), by hand."""
    rate = np.repeat([90.0, 110, 130, 150, 170, 190], 600)
    assert edwards_load(rate, 200).sum() == pytest.approx(150)
    assert edwards_load(np.full(60, 100.0), 200).sum() == pytest.approx(1)


@pytest.mark.parametrize(
    ("sex", "weight", "expected"),
    [
        # −55.0969 + 0.6309 × 150 + 0.1988 × 80 + 0.2017 × 40 = 63.5101 kJ a minute.
        ("male", 80, 63.5101),
        # −20.4022 + 0.4472 × 150 − 0.1263 × 60 + 0.0740 × 40 = 42.0598 kJ a minute.
        ("female", 60, 42.0598),
    ],
)
def test_a_minute_at_150_bpm(sex, weight, expected):
    energy = keytel_energy_kj(np.full(60, 150.0), sex, weight, 40)
    assert energy.sum() == pytest.approx(expected)


def test_no_energy_is_below_nothing():
    """−20.4022 + 0.4472 × 40 − 0.1263 × 60 + 0.0740 × 40 = −7.1 kJ a minute, by hand."""
    assert keytel_energy_kj(np.full(60, 40.0), "female", 60, 40).sum() == 0


@pytest.mark.parametrize(
    "adds",
    [
        lambda rate: banister_trimp(rate, 60, 190, "male"),
        lambda rate: edwards_load(rate, 190),
        lambda rate: keytel_energy_kj(rate, "male", 80, 40),
    ],
)
def test_a_missing_second_stays_missing(adds):
    rate = np.array([150.0, np.nan, 150.0])
    np.testing.assert_array_equal(np.isnan(adds(rate)), [False, True, False])
