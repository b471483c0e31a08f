"""Intervals of shares against general-purpose libraries."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from strapline.method.agreement.proportions import at_most, share_of_dependent_cases, wilson

cases = st.integers(1, 500).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(cases)
def test_wilson_as_statsmodels_and_scipy(case):
    ours = wilson(*case)
    theirs = proportion_confint(*case, alpha=0.05, method="wilson")
    assert (ours.low, ours.high) == pytest.approx(theirs, abs=1e-9)
    other = stats.binomtest(*case).proportion_ci(0.95, "wilson")
    assert (ours.low, ours.high) == pytest.approx((other.low, other.high), abs=1e-9)


@given(cases)
def test_whole_cases_as_clopper_and_pearson(case):
    ours = share_of_dependent_cases(case[0] / case[1], case[1])
    theirs = stats.binomtest(*case).proportion_ci(0.95, "exact")
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-7)


@given(cases)
def test_misses_mirror_hits(case):
    count, n = case
    hits, misses = wilson(count, n), wilson(n - count, n)
    assert hits.low == pytest.approx(1 - misses.high)


@given(st.integers(0, 1000).map(lambda each: each / 1000), st.floats(1, 100))
def test_fewer_effective_cases_say_less(share, effective):
    few, many = share_of_dependent_cases(share, effective), share_of_dependent_cases(share, 200)
    assert few.low <= many.low + 1e-12
    assert few.high >= many.high - 1e-12
    assert few.low <= share <= few.high


def test_edges():
    assert math.isnan(wilson(0, 0).low)
    assert wilson(0, 10).low == 0
    assert wilson(10, 10).high == 1
    assert wilson(0, 10).high == pytest.approx(0.2775, abs=1e-4)
    for count in (-1, 11, math.nan):
        with pytest.raises(ValueError, match="no share"):
            wilson(count, 10)


def test_coverage_on_average():
    n, share = 20, 0.7
    counts = np.arange(n + 1)
    intervals = [wilson(count, n) for count in counts]
    held = [each.low <= share <= each.high for each in intervals]
    assert np.dot(stats.binom.pmf(counts, n, share), held) == pytest.approx(0.95, abs=0.03)


@given(cases)
def test_a_bound_as_scipy(case):
    count, n = case
    theirs = stats.binomtest(count, n, alternative="less").proportion_ci(0.95, method="exact")
    assert at_most(count, n) == pytest.approx(theirs.high, abs=1e-9)


def test_none_of_twelve_may_be_up_to_a_fifth():
    # 1 - 0.05^(1/12), by hand.
    assert at_most(0, 12) == pytest.approx(0.2209, abs=1e-4)
