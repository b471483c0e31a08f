"""Regression of the difference, and its limits, against libraries."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from strapline.method.agreement.proportional_bias import (
    difference_on_mean,
    regression_limits,
)

seeds = st.integers(0, 10_000)


def pairs(seed, n=60, slope=1.1):
    random = np.random.default_rng(seed)
    reference = random.uniform(70, 180, n)
    return reference, 2 + slope * reference + random.normal(0, 5, n)


@pytest.mark.parametrize("seed", range(10))
def test_line_as_statsmodels(seed):
    reference, device = pairs(seed)
    ours = difference_on_mean(reference, device)
    model = sm.OLS(device - reference, sm.add_constant((reference + device) / 2)).fit()
    assert (ours.intercept, ours.slope) == pytest.approx(tuple(model.params))
    assert (ours.slope_interval.low, ours.slope_interval.high) == pytest.approx(
        tuple(model.conf_int()[1])
    )


def test_regression_limits_by_hand():
    # Bland & Altman 1999: b0 + b1 A ± 2.46 (c0 + c1 A).
    reference, device = pairs(1)
    mean, difference = (reference + device) / 2, device - reference
    bias = stats.linregress(mean, difference)
    residual = np.abs(difference - bias.intercept - bias.slope * mean)
    spread = stats.linregress(mean, residual)
    limits = regression_limits(reference, device)
    for at in (80, 150):
        centre = bias.intercept + bias.slope * at
        sd = math.sqrt(math.pi / 2) * (spread.intercept + spread.slope * at)
        assert limits.bias.at(at) == pytest.approx(centre, rel=1e-9)
        assert limits.sd_at(at) == pytest.approx(sd, rel=1e-9)


def test_limits_follow_a_growing_spread():
    random = np.random.default_rng(2)
    mean = random.uniform(60, 180, 20_000)
    difference = 0.05 * mean + random.normal(0, 0.04 * mean)
    limits = regression_limits(mean - difference / 2, mean + difference / 2)
    for at in (80, 160):
        assert limits.sd_at(at) == pytest.approx(0.04 * at, rel=0.03)
        near = np.abs(mean - at) < 3
        inside = np.abs(difference[near] - limits.bias.at(at)) <= 1.96 * limits.sd_at(at)
        assert np.mean(inside) == pytest.approx(0.95, abs=0.02)


def test_a_spread_is_never_negative():
    reference, device = pairs(3)
    assert regression_limits(reference, device).sd_at(-1e6) >= 0


@given(seeds, st.floats(-30, 30))
def test_a_shift_of_the_device_tilts_nothing(seed, shift):
    reference, device = pairs(seed)
    one, other = (
        difference_on_mean(reference, device),
        difference_on_mean(reference, device + shift),
    )
    assert other.slope == pytest.approx(one.slope)


@given(seeds)
def test_swapping_sides_turns_the_slope_over(seed):
    reference, device = pairs(seed)
    one, other = difference_on_mean(reference, device), difference_on_mean(device, reference)
    assert one.slope == pytest.approx(-other.slope)
    assert one.slope_interval.low == pytest.approx(-other.slope_interval.high)


def test_dependent_seconds_widen_the_slope():
    reference, device = pairs(4, 200)
    plain = difference_on_mean(reference, device)
    honest = difference_on_mean(reference, device, effective_n=20)
    assert honest.slope == plain.slope
    ratio = (honest.slope_interval.high - honest.slope_interval.low) / (
        plain.slope_interval.high - plain.slope_interval.low
    )
    assert ratio > 3
    assert math.isnan(difference_on_mean(reference, device, effective_n=2).slope_interval.low)


def test_edges():
    flat, rising = np.full(5, 100.0), np.arange(5.0)
    assert math.isnan(difference_on_mean(flat, flat).slope)
    assert math.isnan(difference_on_mean(rising[:2], rising[:2]).slope)
    assert math.isnan(regression_limits(flat, flat).bias.at(100))
