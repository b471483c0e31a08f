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
    EXACT_UP_TO,
    adjust_for_side,
    head_to_head,
    holm,
    sign_flip_p,
)

sizes = st.integers(2, 10)


def differences(seed, n, mean=0.5):
    return np.random.default_rng(seed).normal(mean, 1, n)


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
    one, other = head_to_head(values, "name"), head_to_head(-values, "name")
    assert one.mean == -other.mean
    assert one.p == other.p
    assert one.interval.low == pytest.approx(-other.interval.high)
    assert one.closer == pytest.approx(1 - other.closer)
    assert one.closer_interval.low == pytest.approx(1 - other.closer_interval.high)


@given(st.integers(0, 1000), st.integers(2, 12), st.floats(0.01, 100))
def test_units_do_not_matter(seed, n, factor):
    values = differences(seed, n)
    one, other = head_to_head(values, "name"), head_to_head(values * factor, "name")
    assert (one.p, one.closer) == (other.p, other.closer)


def test_interval_as_scipy():
    values = differences(2, 9)
    interval = stats.ttest_1samp(values, 0).confidence_interval()
    ours = head_to_head(values, "name").interval
    assert (ours.low, ours.high) == pytest.approx((interval.low, interval.high))


def test_closer_in_the_next_session_by_hand():
    # Seven of nine, and a tie as a half.
    result = head_to_head(np.array([-1.0] * 7 + [1, 1, 0]), "name")
    assert result.closer == 0.75
    assert result.closer_interval.covers(0.5)


def test_false_alarms_are_as_rare_as_they_should_be():
    alarms = [sign_flip_p(differences(seed, 8, 0), "name") <= 0.05 for seed in range(1000)]
    assert np.mean(alarms) == pytest.approx(0.047, abs=0.02)


def test_few_sessions():
    none = head_to_head(np.array([]), "name")
    assert np.isnan([none.mean, none.p, none.closer, none.interval.low]).all()
    one = head_to_head(np.array([-2.0]), "name")
    assert (one.mean, one.p, one.closer) == (-2, 1, 1)
    assert math.isnan(one.interval.low)


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
    assert (ours.device, ours.side) == pytest.approx(tuple(model.params))
    found = [(each.low, each.high) for each in (ours.device_interval, ours.side_interval)]
    assert np.array(found) == pytest.approx(model.conf_int())
    assert not ours.confounded


def test_a_device_always_on_one_side_is_confounded():
    result = adjust_for_side(np.array([1.0, 2, 3]), np.array([True, True, True]))
    assert result.confounded
    assert (result.sessions_a_left, result.sessions_a_right) == (3, 0)
    assert np.isnan([result.device, result.side, result.device_interval.low]).all()


def test_two_sessions_balance_the_sides_without_an_interval():
    result = adjust_for_side(np.array([3.0, -1]), np.array([True, False]))
    assert (result.device, result.side) == (1, 2)
    assert math.isnan(result.device_interval.low)
