"""Limits for repeated measures against a mixed model, simulation, and at the edges."""

import math

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as formula
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import lfilter

from strapline.method.agreement.limit_intervals import known_limits
from strapline.method.agreement.pairs import limits_of_agreement
from strapline.method.agreement.repeated_measures import SubjectSummaries, limits_of_repeated
from unit.agreement.subjects import summarise

seeds = st.integers(0, 10_000)


def limits_of(subject, values):
    return limits_of_repeated(summarise(subject, values))


def known(subject, values):
    return known_limits(summarise(subject, values))


def differences(seed, subjects=8, between=2.0, within=1.0, most=7):
    random = np.random.default_rng(seed)
    counts = random.integers(2, most + 1, subjects)
    subject = np.repeat(np.arange(subjects), counts)
    values = random.normal(0, between, subjects)[subject] + random.normal(0, within, subject.size)
    return subject, values + 3


def test_components_as_a_mixed_model_on_balanced_data():
    random = np.random.default_rng(1)
    subject = np.repeat(np.arange(10), 6)
    values = random.normal(0, 2, 10)[subject] + random.normal(0, 1, 60)
    frame = pd.DataFrame({"subject": subject, "value": values})
    model = formula.mixedlm("value ~ 1", frame, groups="subject").fit(reml=True)
    limits = limits_of(subject, values)
    assert limits.sd**2 == pytest.approx(model.cov_re.iloc[0, 0] + model.scale, rel=1e-4)
    assert limits.bias == pytest.approx(model.params.iloc[0])


@given(seed=seeds, shift=st.floats(-50, 50))
def test_a_shift_moves_everything_and_widens_nothing(seed, shift):
    subject, values = differences(seed)
    one, other = known(subject, values), known(subject, values + shift)
    assert other.limits.sd == pytest.approx(one.limits.sd)
    assert other.limits.lower == pytest.approx(one.limits.lower + shift)
    assert other.upper.high == pytest.approx(one.upper.high + shift)


@given(seed=seeds)
def test_swapping_sides_turns_everything_over(seed):
    subject, values = differences(seed)
    one, other = known(subject, values), known(subject, -values)
    assert one.limits.bias == pytest.approx(-other.limits.bias)
    assert one.limits.lower == pytest.approx(-other.limits.upper)
    assert one.lower.low == pytest.approx(-other.upper.high)
    assert one.lower.high == pytest.approx(-other.upper.low)


@given(seed=seeds, factor=st.floats(1.01, 5))
def test_limits_widen_with_variance(seed, factor):
    subject, values = differences(seed)
    one, other = known(subject, values), known(subject, values * factor)
    assert other.limits.sd == pytest.approx(factor * one.limits.sd)
    width = one.upper.high - one.upper.low
    assert other.upper.high - other.upper.low == pytest.approx(factor * width)


@given(seed=seeds)
def test_intervals_hold_their_limits_and_reach_further_out(seed):
    found = known(*differences(seed))
    assert found.lower.low <= found.limits.lower <= found.lower.high
    inside = found.limits.upper - found.upper.low
    outside = found.upper.high - found.limits.upper
    assert outside > inside > 0


@given(seed=seeds)
def test_order_of_rows_and_names_do_not_matter(seed):
    subject, values = differences(seed)
    order = np.random.default_rng(seed).permutation(values.size)
    names = np.array([f"subject {99 - each}" for each in subject])
    one = limits_of(subject, values)
    other = limits_of(names[order], values[order])
    assert other.bias == pytest.approx(one.bias)
    assert other.sd == pytest.approx(one.sd)


def test_one_value_each_is_ordinary_agreement():
    values = np.random.default_rng(4).normal(2, 3, 15)
    limits = limits_of(np.arange(15), values)
    plain = limits_of_agreement(np.zeros(15), values)
    assert (limits.lower, limits.upper) == pytest.approx((plain.lower, plain.upper))


def test_one_subject_tells_only_its_bias():
    limits = limits_of(np.zeros(5), np.arange(5.0))
    assert limits.bias == 2
    assert np.isnan([limits.sd, limits.lower, limits.upper]).all()
    with pytest.raises(ValueError):
        known(np.zeros(5), np.arange(5.0))


def test_no_subject_is_refused():
    with pytest.raises(ValueError):
        limits_of(np.array([]), np.array([]))


def test_no_variance():
    found = known(np.repeat([1, 2, 3], 4), np.full(12, 1.5))
    assert found.limits.sd == 0
    assert found.limits.lower == found.limits.upper == found.upper.high == 1.5


def test_a_long_subject_counts_no_more_than_a_short_one():
    subject = np.repeat([0, 1, 2], [3, 3, 3000])
    random = np.random.default_rng(7)
    values = random.normal(0, 1, subject.size) + np.array([0.0, 0.0, 30.0])[subject]
    summaries = summarise(subject, values)
    assert limits_of_repeated(summaries).bias == pytest.approx(np.mean(summaries.mean))
    assert limits_of_repeated(summaries, summaries.count).bias == pytest.approx(np.mean(values))


@pytest.mark.parametrize("correlation", [0.0, 0.95, 0.99])
def test_values_that_repeat_each_other_leave_the_variance_right(correlation):
    """However dependent: sessions that differ by 1 bpm (SD), seconds about them by 4."""
    found = []
    for seed in range(400):
        random = np.random.default_rng(seed)
        shocks = random.normal(size=(6, 500))
        shocks[:, 1:] *= math.sqrt(1 - correlation**2)
        series = 4 * lfilter([1.0], [1.0, -correlation], shocks) + random.normal(size=(6, 1))
        summaries = SubjectSummaries(
            np.full(6, 500), series.mean(axis=1), series.var(axis=1, ddof=1)
        )
        found.append(limits_of_repeated(summaries).sd ** 2)
    assert np.mean(found) == pytest.approx(17, abs=3 * np.std(found) / 20)


def test_the_limits_hold_95_percent_of_new_differences():
    held = []
    for seed in range(400):
        limits = limits_of(*differences(seed, subjects=15))
        new = np.random.default_rng(10_000 + seed).normal(3, math.hypot(2, 1), 50)
        held.append(np.mean((limits.lower <= new) & (new <= limits.upper)))
    assert np.mean(held) == pytest.approx(0.94, abs=0.015)


def test_coverage_of_the_limits_intervals():
    # The true upper limit is 3 + 1.96 root(2² + 1²).
    true = 3 + 1.96 * math.hypot(2, 1)
    intervals = [known(*differences(seed, subjects=12)).upper for seed in range(600)]
    covered = [each.low <= true <= each.high for each in intervals]
    assert 0.93 <= np.mean(covered) <= 0.985


def test_a_session_that_fails_widens_the_limits_on_its_own_side():
    good = SubjectSummaries(np.full(9, 1000.0), np.linspace(-1, 1, 9), np.full(9, 9.0))
    mean, variance = good.mean.copy(), good.variance.copy()
    mean[0], variance[0] = -12.0, 160.0
    found = known_limits(SubjectSummaries(good.count, mean, variance))
    below = found.limits.lower - found.lower.low
    above = found.upper.high - found.limits.upper
    assert below > 1.1 * above
    assert above > known_limits(good).upper.high - known_limits(good).limits.upper
