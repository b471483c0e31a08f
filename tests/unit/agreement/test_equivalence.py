"""Equivalence and change against general-purpose libraries."""

import math

import numpy as np
import pingouin
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import ttost_paired

from strapline.method.agreement.equivalence import (
    change_between,
    equivalence_of_mean,
)

samples = st.integers(0, 10_000).map(lambda seed: np.random.default_rng(seed).normal(0.5, 2, 12))


def equivalence(values, lower, upper, alpha=0.05):
    mean = float(np.mean(values)) if values.size else math.nan
    error = float(stats.sem(values)) if values.size > 1 else math.nan
    return equivalence_of_mean(mean, error, values.size - 1, lower, upper, alpha)


@given(samples)
def test_two_tests_as_statsmodels_and_pingouin(values):
    ours = equivalence(values, -1.5, 2.0)
    p, lower, upper = ttost_paired(values, np.zeros(12), -1.5, 2.0)
    assert ours.p == pytest.approx(p)
    assert equivalence(values, -1.5, math.inf).p == pytest.approx(lower[1])
    assert equivalence(values, -math.inf, 2.0).p == pytest.approx(upper[1])
    theirs = pingouin.tost(values, np.zeros(12), bound=1.5, paired=True)
    assert equivalence(values, -1.5, 1.5).p == pytest.approx(theirs["pval"].item(), abs=1e-4)


@given(samples, st.floats(0.01, 0.2))
def test_the_interval_says_what_the_test_says(values, alpha):
    test = equivalence(values, -1.5, 1.5, alpha)
    inside = test.interval.low > -1.5 and test.interval.high < 1.5
    assert inside == (test.p < alpha)


@given(samples, st.floats(-10, 10))
def test_bounds_move_with_the_values(values, shift):
    one, other = equivalence(values, -1, 2), equivalence(values + shift, -1 + shift, 2 + shift)
    assert other.p == pytest.approx(one.p)


@given(samples)
def test_wider_bounds_are_easier(values):
    assert equivalence(values, -2, 2).p <= equivalence(values, -1, 1).p


def test_equivalence_at_the_edges():
    for values in (np.array([]), np.array([0.1])):
        test = equivalence(values, -1, 1)
        assert np.isnan([test.p, test.interval.low]).all()
    same = equivalence(np.full(4, 0.5), -1, 1)
    assert same.p == 0
    assert (same.interval.low, same.interval.high) == (0.5, 0.5)
    assert equivalence(np.full(4, 3.0), -1, 1).p == 1
    with pytest.raises(ValueError, match="nothing between"):
        equivalence(np.arange(4.0), 1, -1)


@given(samples, samples)
def test_change_as_scipy(before, after):
    after = 3 * after[:7]
    ours = change_between(before, after)
    theirs = stats.ttest_ind(after, before, equal_var=False)
    interval = theirs.confidence_interval(0.95)
    assert ours.p == pytest.approx(theirs.pvalue)
    assert ours.freedom == pytest.approx(theirs.df)
    assert (ours.interval.low, ours.interval.high) == pytest.approx((interval.low, interval.high))


@given(samples, samples)
def test_time_may_run_backwards(before, after):
    one, other = change_between(before, after[:5]), change_between(after[:5], before)
    assert one.change == pytest.approx(-other.change)
    assert one.interval.low == pytest.approx(-other.interval.high)


def test_change_at_the_edges():
    alone = change_between(np.array([5.0]), np.array([3.0, 4.0]))
    assert alone.change == -1.5
    assert np.isnan([alone.p, alone.interval.low, alone.freedom]).all()
    assert math.isnan(change_between(np.array([]), np.array([1.0, 2.0])).change)
    flat = change_between(np.full(3, 5.0), np.full(3, 4.0))
    assert flat.change == -1
    assert math.isnan(flat.p)
    half = change_between(np.full(3, 5.0), np.array([3.0, 4.0, 5.0]))
    assert math.isfinite(half.p)
