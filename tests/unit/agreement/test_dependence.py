"""Autocorrelation, effective numbers and block lengths against a general-purpose library."""

import numpy as np
import pytest
from arch.bootstrap import optimal_block_length
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.signal import lfilter

from strapline.method.agreement.dependence import (
    block_length,
    effective_size,
)

series_of_40 = arrays(float, 40, elements=st.integers(40, 220).map(float))


def autoregression(seed, n, correlation):
    return lfilter([1.0], [1.0, -correlation], np.random.default_rng(seed).normal(size=n))


@pytest.mark.parametrize("seed", range(60))
def test_block_lengths_as_arch(seed):
    random = np.random.default_rng(seed)
    series = autoregression(seed, int(random.integers(30, 3000)), random.uniform(-0.5, 0.97))
    theirs = optimal_block_length(series).iloc[0]
    assert block_length(series) == pytest.approx(max(theirs["circular"], 1))


@pytest.mark.parametrize("correlation", [0.0, 0.5, 0.9])
def test_effective_size_of_long_autoregressions(correlation):
    n = 20_000
    expected = n * (1 - correlation) / (1 + correlation)
    series = autoregression(3, n, correlation)
    assert effective_size(series) == pytest.approx(expected, rel=0.2)


def test_the_time_of_dependence_has_no_longest_lag():
    """A device that fails for two minutes in ten repeats itself for about 1.6 minutes (the sum of
    the autocorrelations of an alternating process: twice the mean of both times' variances over
    their sum, by renewal theory). Half an hour holds some twenty such times, not as many as a
    window of lags allows."""
    random, found = np.random.default_rng(8), []
    for _ in range(200):
        ends = np.cumsum(random.exponential(480, 40) + 120)
        time = np.arange(1800)[:, None] + 9000
        failing = ((time < ends) & (time >= ends - 120)).any(axis=1)
        found.append(effective_size(-20.0 * failing + random.normal(0, 1, 1800)))
    assert 10 < np.median(found) < 24


def test_missing_values_hardly_change_the_effective_size():
    series = autoregression(4, 20_000, 0.9)
    whole = effective_size(series)
    series[5000:7000] = np.nan
    assert effective_size(series) == pytest.approx(whole * 0.9, rel=0.15)


@given(series_of_40, st.floats(-50, 50), st.floats(0.1, 10))
def test_neither_shift_nor_scale_matters(series, shift, scale):
    if np.ptp(series) == 0:
        return
    moved = series * scale + shift
    assert effective_size(moved) == pytest.approx(effective_size(series), rel=1e-6)
    assert 1 <= effective_size(series) <= 40


@given(series_of_40)
def test_time_may_run_backwards(series):
    assert effective_size(series[::-1]) == pytest.approx(effective_size(series))


def test_what_does_not_vary():
    series = np.full(20, 100.0)
    assert effective_size(series) == 20
    assert block_length(series) == 1


def test_too_few_values():
    with pytest.raises(ValueError, match="three values"):
        block_length(np.array([1.0, np.nan, 2.0]))


@pytest.mark.parametrize("n", range(3, 12))
def test_a_few_values_have_an_effective_number_too(n):
    values = np.random.default_rng(n).normal(size=n)
    assert 1 <= effective_size(values) <= n
    assert 1 <= block_length(values) <= n
