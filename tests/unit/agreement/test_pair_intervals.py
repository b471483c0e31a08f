"""Intervals for independent pairs: their coverage, their symmetries and their edges."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.method.agreement.pair_intervals import (
    concordance_with_interval,
    limits_with_intervals,
    ratio_limits,
)

seeds = st.integers(0, 10_000)


def pairs(seed, n=20, bias=3.0, sd=6.0):
    random = np.random.default_rng(seed)
    reference = random.normal(130, 25, n)
    return reference, reference + random.normal(bias, sd, n)


@given(seeds)
def test_swapping_sides(seed):
    reference, device = pairs(seed)
    one, other = limits_with_intervals(reference, device), limits_with_intervals(device, reference)
    assert one.lower_interval.low == pytest.approx(-other.upper_interval.high)
    assert one.bias_interval.low == pytest.approx(-other.bias_interval.high)
    one, other = ratio_limits(reference, device), ratio_limits(device, reference)
    assert one.bias == pytest.approx(1 / other.bias)
    assert one.lower_interval.low == pytest.approx(1 / other.upper_interval.high)
    one = concordance_with_interval(reference, device)
    other = concordance_with_interval(device, reference)
    assert one.interval.low == pytest.approx(other.interval.low)


@given(seeds, st.floats(0.1, 20))
def test_ratios_do_not_know_units(seed, factor):
    reference, device = pairs(seed)
    one, other = ratio_limits(reference, device), ratio_limits(reference * factor, device * factor)
    assert other.upper == pytest.approx(one.upper)
    assert other.upper_interval.high == pytest.approx(one.upper_interval.high)


@given(seeds, st.floats(1.01, 4))
def test_limits_widen_with_variance(seed, factor):
    reference, device = pairs(seed)
    wider = reference + (device - reference) * factor
    one, other = limits_with_intervals(reference, device), limits_with_intervals(reference, wider)
    assert other.upper - other.lower == pytest.approx(factor * (one.upper - one.lower))


@pytest.mark.parametrize("n", [6, 30])
def test_exact_limits_cover(n):
    true, held = 3 + 1.96 * 6, 0
    for seed in range(800):
        held += limits_with_intervals(*pairs(seed, n)).upper_interval.covers(true)
    assert held / 800 == pytest.approx(0.95, abs=0.025)


def test_approximate_limits_approach_the_exact():
    exact = limits_with_intervals(*pairs(1, 2000))
    approximate = limits_with_intervals(*pairs(1, 2000), method="approximate")
    assert approximate.upper_interval.high == pytest.approx(exact.upper_interval.high, abs=0.03)
    assert approximate.lower_interval.low == pytest.approx(exact.lower_interval.low, abs=0.03)


def test_ratio_limits_by_hand():
    reference = np.array([100.0, 120, 140, 160])
    logs = np.log(np.array([1.1, 1.0, 1.2, 0.9]))
    limits = ratio_limits(reference, reference * np.exp(logs))
    assert limits.bias == pytest.approx(math.exp(logs.mean()))
    assert limits.upper == pytest.approx(math.exp(logs.mean() + 1.96 * logs.std(ddof=1)))


def test_ratios_need_values_above_zero():
    with pytest.raises(ValueError, match="above 0"):
        ratio_limits(np.array([1.0, 0.0]), np.array([1.0, 1.0]))


def test_concordance_interval_covers():
    true, held = 2 * 625 / (625 + 625 + 36 + 9), 0
    for seed in range(800):
        held += concordance_with_interval(*pairs(seed, 40)).interval.covers(true)
    assert held / 800 == pytest.approx(0.95, abs=0.03)


def test_fewer_effective_pairs_widen_the_concordance():
    plain = concordance_with_interval(*pairs(2, 200))
    honest = concordance_with_interval(*pairs(2, 200), effective_n=20)
    assert honest.coefficient == plain.coefficient
    assert honest.interval.low < plain.interval.low


@given(seeds)
def test_concordance_is_the_correlation_times_its_bias(seed):
    reference, device = pairs(seed)
    result = concordance_with_interval(reference, device)
    r = np.corrcoef(reference, device)[0, 1]
    assert result.coefficient == pytest.approx(r * result.bias_correction)
    assert 0 < result.bias_correction <= 1 + 1e-12


def test_edges():
    none = np.array([])
    assert math.isnan(limits_with_intervals(np.ones(1), np.ones(1)).lower)
    assert math.isnan(concordance_with_interval(none, none).coefficient)
    assert math.isnan(concordance_with_interval(np.ones(5), np.arange(5.0)).interval.low)
    flat = limits_with_intervals(np.arange(4.0), np.arange(4.0) + 2)
    assert flat.lower == flat.upper_interval.high == 2
    same = concordance_with_interval(np.arange(9.0), np.arange(9.0))
    assert (same.coefficient, same.interval.low) == (pytest.approx(1), pytest.approx(1))
