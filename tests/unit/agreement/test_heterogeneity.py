"""How much sessions differ, against a general-purpose library and by hand."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.meta_analysis import combine_effects

from strapline.method.agreement.heterogeneity import (
    Heterogeneity,
    heterogeneity,
    p_of_one_mean,
)

seeds = st.integers(0, 10_000)


def trials(seed):
    random = np.random.default_rng(seed)
    k = int(random.integers(2, 15))
    variances = random.uniform(0.1, 3, k)
    spread = random.choice([0.0, 0.3, 3.0])
    return random.normal(1, np.sqrt(variances + spread)), variances


@pytest.mark.parametrize("seed", range(15))
def test_moments_as_statsmodels(seed):
    ours, theirs = heterogeneity(*trials(seed)), combine_effects(*trials(seed), method_re="dl")
    assert ours.q == pytest.approx(theirs.q)
    assert ours.tau2 == pytest.approx(max(theirs.tau2, 0))
    assert ours.i2 == pytest.approx(max(100 * theirs.i2, 0))


def test_equal_variances_have_a_formula():
    estimates = np.array([1.0, 4.0, 2.0, 7.0, 3.0])
    found = heterogeneity(estimates, np.full(5, 0.5))
    assert found.tau2 == pytest.approx(np.var(estimates, ddof=1) - 0.5)
    assert found.i2 == pytest.approx(100 * found.tau2 / (found.tau2 + 0.5))


@given(seeds, st.floats(-50, 50), st.floats(0.1, 10))
def test_shift_and_scale(seed, shift, scale):
    estimates, variances = trials(seed)
    one = heterogeneity(estimates, variances)
    other = heterogeneity(estimates * scale + shift, variances * scale**2)
    assert other.tau2 == pytest.approx(one.tau2 * scale**2, rel=1e-5, abs=1e-7)
    assert other.i2 == pytest.approx(one.i2, abs=1e-4)
    assert 0 <= one.i2 < 100


@pytest.mark.parametrize("sessions", [1, 4])
def test_equal_sessions_and_one_alone(sessions):
    same = np.full(sessions, 1.5), np.full(sessions, 0.2)
    assert heterogeneity(*same) == Heterogeneity(0, 0, 0)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan])
def test_impossible_variances(wrong):
    with pytest.raises(ValueError, match="above 0"):
        heterogeneity(np.array([1.0, 2.0]), np.array([1.0, wrong]))


def one_mean(*samples):
    parts = [(np.mean(x), np.std(x, ddof=1) / math.sqrt(len(x)), len(x) - 1) for x in samples]
    return p_of_one_mean(*np.array(parts).T)


@pytest.mark.parametrize("seed", range(8))
def test_means_of_unequal_spread_as_scipy(seed):
    """SciPy 1.17, the analysis of variance of Welch."""
    random = np.random.default_rng(seed)
    sizes = random.integers(2, 9, int(random.integers(2, 7)))
    samples = [random.normal(random.normal(0, 2), random.uniform(0.5, 4), n) for n in sizes]
    theirs = stats.f_oneway(*samples, equal_var=False).pvalue
    assert one_mean(*samples) == pytest.approx(theirs)


def test_means_that_are_one_are_seldom_found_apart():
    """Activities of 3 sessions, the last five times as spread as the first."""
    random = np.random.default_rng(3)
    spread = np.geomspace(1, 5, 4)[:, None]
    found = [one_mean(*random.normal(2, spread, (4, 3))) < 0.05 for _ in range(1000)]
    assert 0.02 < np.mean(found) < 0.09


def test_figures_without_spread_and_what_nobody_knows():
    assert one_mean([8.0, 8.0], [0.0, 0.0]) < 1e-6
    assert one_mean([8.0, 8.0], [8.0, 8.0]) == 1
    error = np.array([1.0, math.nan])
    assert math.isnan(p_of_one_mean(np.array([8.0, 0.0]), error, np.ones(2)))
    assert math.isnan(p_of_one_mean(np.array([8.0]), np.array([1.0]), np.ones(1)))
