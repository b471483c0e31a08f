"""Load and energy against values worked out by hand from the published formulas."""

import numpy as np
import pytest

from strapline.consequences.load import (
    Above,
    banister_trimp,
    edwards_load,
    keytel_energy_kj,
    time_above,
)

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
    assert banister_trimp(rate, 60, 190, sex) == pytest.approx(expected, abs=0.01)


def test_at_rest_and_below_there_is_no_impulse():
    assert banister_trimp(np.full(600, 55.0), 60, 190, "male") == 0


def test_no_reserve_is_refused():
    with pytest.raises(ValueError, match="must be above"):
        banister_trimp(np.full(60, 100.0), 190, 190, "male")


def test_zones_are_weighed_one_to_five():
    """Ten minutes below all zones and in each: 10 × (0 + 1 + 2 + 3 + 4 + 5), by hand."""
    rate = np.repeat([90.0, 110, 130, 150, 170, 190], 600)
    assert edwards_load(rate, 200) == pytest.approx(150)
    assert edwards_load(np.full(60, 100.0), 200) == pytest.approx(1)


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
    assert keytel_energy_kj(np.full(60, 150.0), sex, weight, 40) == pytest.approx(expected)


def test_missing_seconds_add_nothing():
    full = np.full(600, 150.0)
    half = full.copy()
    half[::2] = np.nan
    assert banister_trimp(half, 60, 190, "male") == pytest.approx(
        banister_trimp(full, 60, 190, "male") / 2
    )
    assert edwards_load(half, 190) == pytest.approx(edwards_load(full, 190) / 2)
    assert keytel_energy_kj(half, "male", 80, 40) == pytest.approx(
        keytel_energy_kj(full, "male", 80, 40) / 2
    )


def test_time_above_a_rate_is_missed_or_invented():
    reference = np.array([140, 160, 160, 140, 150, np.nan, 160])
    device = np.array([160, 160, 140, 140, 150, 160, np.nan])
    assert time_above(reference, device, 150) == Above(missed_s=1, invented_s=1)
