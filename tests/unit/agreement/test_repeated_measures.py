"""Limits for repeated measures against a mixed model, simulation, and at the edges."""

import math

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as formula
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from strapline.method.agreement.pairs import limits_of_agreement
from strapline.method.agreement.repeated_measures import SubjectSummaries, limits_true_value_varies
from unit.agreement.subjects import summarise

seeds = st.integers(0, 10_000)


def limits_of(subject, values):
    return limits_true_value_varies(summarise(subject, values))


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
    assert limits.between_variance == pytest.approx(model.cov_re.iloc[0, 0], rel=1e-4)
    assert limits.within_variance == pytest.approx(model.scale, rel=1e-4)
    assert limits.bias == pytest.approx(model.params.iloc[0])


@given(seed=seeds, shift=st.floats(-50, 50))
def test_a_shift_moves_everything_and_widens_nothing(seed, shift):
    subject, values = differences(seed)
    one, other = (
        limits_of(subject, values),
        limits_of(subject, values + shift),
    )
    assert other.sd == pytest.approx(one.sd)
    assert other.lower == pytest.approx(one.lower + shift)
    assert other.upper_interval.high == pytest.approx(one.upper_interval.high + shift)


@given(seed=seeds)
def test_swapping_sides_turns_everything_over(seed):
    subject, values = differences(seed)
    one, other = (
        limits_of(subject, values),
        limits_of(subject, -values),
    )
    assert one.bias == pytest.approx(-other.bias)
    assert one.lower == pytest.approx(-other.upper)
    assert one.lower_interval.low == pytest.approx(-other.upper_interval.high)
    assert one.lower_interval.high == pytest.approx(-other.upper_interval.low)


@given(seed=seeds, factor=st.floats(1.01, 5))
def test_limits_widen_with_variance(seed, factor):
    subject, values = differences(seed)
    one, other = (
        limits_of(subject, values),
        limits_of(subject, values * factor),
    )
    assert other.sd == pytest.approx(factor * one.sd)
    width = one.upper_interval.high - one.upper_interval.low
    assert other.upper_interval.high - other.upper_interval.low == pytest.approx(factor * width)


@given(seed=seeds)
def test_intervals_hold_their_limits_and_reach_further_out(seed):
    limits = limits_of(*differences(seed))
    assert limits.lower_interval.covers(limits.lower)
    assert limits.upper_interval.covers(limits.upper)
    inside = limits.upper - limits.upper_interval.low
    outside = limits.upper_interval.high - limits.upper
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
    assert math.isnan(limits.within_variance)
    assert (limits.lower, limits.upper) == pytest.approx((plain.lower, plain.upper))
    low, high = stats.ttest_1samp(values, 0).confidence_interval(0.95)
    assert (limits.bias_interval.low, limits.bias_interval.high) == pytest.approx((low, high))


def test_one_subject_tells_only_its_bias():
    limits = limits_of(np.zeros(5), np.arange(5.0))
    assert limits.bias == 2
    assert limits.within_variance == pytest.approx(2.5)
    assert np.isnan([limits.sd, limits.lower, limits.upper_interval.high]).all()


def test_no_subject():
    limits = limits_of(np.array([]), np.array([]))
    assert limits.subjects == 0
    assert np.isnan([limits.bias, limits.sd, limits.lower]).all()


def test_no_variance():
    limits = limits_of(np.repeat([1, 2, 3], 4), np.full(12, 1.5))
    assert limits.sd == 0
    assert limits.lower == limits.upper == limits.upper_interval.high == 1.5


def test_subjects_more_alike_than_chance_have_no_variance_between():
    values = np.tile([0.0, 4.0], 6)
    limits = limits_of(np.repeat(np.arange(6), 2), values)
    assert limits.between_variance == 0
    assert limits.sd**2 == pytest.approx(limits.within_variance)
    assert limits.upper_interval.covers(limits.upper)


def test_effective_counts_know_less_of_the_spread():
    summaries = summarise(*differences(6, most=40))
    fewer = SubjectSummaries(summaries.count / 4 + 1, summaries.mean, summaries.variance)
    known, doubted = limits_true_value_varies(summaries), limits_true_value_varies(fewer)
    width = known.upper_interval.high - known.upper_interval.low
    assert doubted.upper_interval.high - doubted.upper_interval.low > width * 0.999
    assert doubted.between_variance < known.between_variance


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
    covered = [
        limits_of(*differences(seed, subjects=12)).upper_interval.covers(true)
        for seed in range(600)
    ]
    assert 0.92 <= np.mean(covered) <= 0.98
