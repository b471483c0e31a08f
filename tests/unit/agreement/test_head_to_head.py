"""Paired comparison of devices against general-purpose libraries and by hand."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.multitest import multipletests

from strapline.method.agreement.head_to_head import (
    ALPHA,
    EXACT_UP_TO,
    adjust_for_side,
    head_to_head,
    holm,
    sign_flip_p,
)
from strapline.method.agreement.medians import median_interval

sizes = st.integers(2, 10)


def differences(seed, n, mean=0.5):
    return np.random.default_rng(seed).normal(mean, 1, n)


def compared(values, wearers=None):
    whom = np.full(values.size, "") if wearers is None else np.array(wearers)
    return head_to_head(values, whom, "name")


@given(st.integers(0, 1000), sizes)
def test_sign_flips_as_scipy(seed, n):
    values = differences(seed, n)
    theirs = stats.permutation_test(
        (values,), np.mean, permutation_type="samples", n_resamples=np.inf
    )
    assert sign_flip_p(values, "name") == pytest.approx(theirs.pvalue)


def test_drawn_sign_flips_come_near_the_exact_ones():
    values = differences(1, EXACT_UP_TO, 0.4)
    exact = sign_flip_p(values, "name")
    # A session that says nothing adds one to n and changes no sum.
    drawn = sign_flip_p(np.append(values, 0.0), "name")
    assert drawn == pytest.approx(exact, abs=0.01)
    assert drawn == sign_flip_p(np.append(values, 0.0), "name")
    assert drawn != sign_flip_p(np.append(values, 0.0), "other")


def test_least_p_values():
    assert sign_flip_p(np.arange(1.0, 6), "name") == 2 / 2**5
    assert sign_flip_p(np.array([1.0]), "name") == 1
    assert sign_flip_p(np.full(100, 1.0), "name") == pytest.approx(1 / 20_000)
    assert sign_flip_p(np.zeros(5), "name") == 1
    assert math.isnan(sign_flip_p(np.array([]), "name"))


def test_equal_sums_count_as_equal():
    # 0.1 + 0.2 and 0.3 differ in the last digit.
    assert sign_flip_p(np.array([0.1, 0.2, -0.3, 0.3, 0.3]), "name") == sign_flip_p(
        np.array([1.0, 2, -3, 3, 3]), "name"
    )


@given(st.integers(0, 1000), st.integers(2, 30))
def test_swapping_devices_turns_everything_over(seed, n):
    values = differences(seed, n)
    one, other = compared(values), compared(-values)
    assert one.median == -other.median
    assert one.p == other.p
    assert one.closer == pytest.approx(1 - other.closer)
    assert one.closer_interval.low == pytest.approx(1 - other.closer_interval.high)


@given(st.integers(0, 1000), st.integers(2, 12), st.floats(0.01, 100))
def test_units_do_not_matter(seed, n, factor):
    values = differences(seed, n)
    one, other = compared(values), compared(values * factor)
    assert (one.p, one.closer) == (other.p, other.closer)


@given(st.integers(0, 1000), sizes)
def test_signs_as_scipy(seed, n):
    values = differences(seed, n)
    theirs = stats.binomtest(int(np.count_nonzero(values > 0)), n).pvalue
    assert compared(values).p == pytest.approx(theirs)


@given(st.integers(0, 1000), st.integers(2, 30), st.integers(1, 10))
def test_an_interval_leaves_out_0_just_where_its_p_says_so(seed, n, pairs):
    values = np.round(differences(seed, n, 1.0), 1)
    interval = median_interval(np.sort(values), 1 - ALPHA / pairs)
    apart = interval.low > 0 or interval.high < 0
    assert apart == (compared(values).p * pairs < ALPHA)


def test_a_device_that_fails_now_and_then_may_be_closer_in_the_typical_session():
    values = np.array([-1.0] * 17 + [25.0] * 3)
    found = compared(values)
    assert np.mean(values) > 0 > found.median
    assert found.p < 0.01 and found.closer == 0.85


def test_of_people_the_wearer_is_the_unit():
    # Six wearers, A closer on each in most sessions: of 2^6 signs two are as extreme.
    wearers = np.repeat(list("abcdef"), 3)
    values = np.tile([-1.0, -2.0, 0.5], 6)
    assert compared(values, wearers).people_p == 2 / 64
    assert math.isnan(compared(values[:15], wearers[:15]).people_p)
    unsaid = np.where(wearers == "f", "", wearers)
    assert math.isnan(compared(values, unsaid).people_p)


def test_closer_in_the_next_session_by_hand():
    # Seven of nine, and a tie as a half.
    result = compared(np.array([-1.0] * 7 + [1, 1, 0]))
    assert result.closer == 0.75
    assert result.closer_interval.low <= 0.5 <= result.closer_interval.high


def test_false_alarms_are_as_rare_as_they_should_be():
    alarms = [sign_flip_p(differences(seed, 8, 0), "name") <= 0.05 for seed in range(1000)]
    assert np.mean(alarms) == pytest.approx(0.047, abs=0.02)


def test_few_sessions():
    none = compared(np.array([]))
    assert np.isnan([none.median, none.p, none.closer]).all()
    one = compared(np.array([-2.0]))
    assert (one.median, one.p, one.closer) == (-2, 1, 1)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=10))
def test_holm_as_statsmodels(values):
    theirs = multipletests(values, method="holm")[1]
    assert list(holm(np.array(values))) == pytest.approx(list(theirs))


def test_holm_leaves_out_what_is_unknown():
    adjusted = holm(np.array([0.01, np.nan, 0.04]))
    assert list(adjusted[[0, 2]]) == pytest.approx([0.02, 0.04])
    assert math.isnan(adjusted[1])
    assert holm(np.array([])).size == 0


@pytest.mark.parametrize("seed", range(5))
def test_side_as_a_linear_model(seed):
    random = np.random.default_rng(seed)
    left = np.arange(11) < 4
    values = 1.0 + np.where(left, 2.0, -2.0) + random.normal(0, 1, 11)
    ours = adjust_for_side(values, left)
    model = sm.OLS(values, sm.add_constant(np.where(left, 1.0, -1.0))).fit()
    assert ours.device == pytest.approx(model.params[0])
    found = [ours.device_interval.low, ours.device_interval.high]
    assert found == pytest.approx(list(model.conf_int()[0]))
    assert not ours.confounded


def test_a_device_always_on_one_side_is_confounded():
    result = adjust_for_side(np.array([1.0, 2, 3]), np.array([True, True, True]))
    assert result.confounded
    assert (result.sessions_a_left, result.sessions_a_right) == (3, 0)
    assert np.isnan([result.device, result.device_interval.low]).all()


def test_two_sessions_balance_the_sides_without_an_interval():
    result = adjust_for_side(np.array([3.0, -1]), np.array([True, False]))
    assert result.device == 1
    assert math.isnan(result.device_interval.low)
