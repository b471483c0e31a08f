"""Random effects against general-purpose libraries and brute force."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.meta_analysis import combine_effects

from strapline.method.agreement.pooling import pool

seeds = st.integers(0, 10_000)


def trials(seed, k=None):
    random = np.random.default_rng(seed)
    k = k or int(random.integers(2, 15))
    variances = random.uniform(0.1, 3, k)
    spread = random.choice([0.0, 0.3, 3.0])
    return random.normal(1, np.sqrt(variances + spread)), variances


@pytest.mark.parametrize("seed", range(15))
def test_moments_and_hartung_knapp_as_statsmodels(seed):
    estimates, variances = trials(seed)
    ours = pool(estimates, variances, method="DL")
    theirs = combine_effects(estimates, variances, method_re="dl", use_t=True)
    assert ours.tau2 == pytest.approx(max(theirs.tau2, 0))
    assert ours.q == pytest.approx(theirs.q)
    if theirs.tau2 > 0:
        table = theirs.summary_frame().loc["random effect wls"]
        assert ours.estimate == pytest.approx(table["eff"])
        assert ours.standard_error == pytest.approx(table["sd_eff"])
        assert ours.interval.low == pytest.approx(table["ci_low"])
        plain = pool(estimates, variances, method="DL", hartung_knapp=False)
        usual = combine_effects(estimates, variances, method_re="dl").summary_frame()
        assert plain.interval.high == pytest.approx(usual.loc["random effect", "ci_upp"])


@given(seeds)
def test_no_other_tau2_is_likelier(seed):
    estimates, variances = trials(seed)

    def deviance(tau2):
        weights = 1 / (variances + tau2)
        mean = np.average(estimates, weights=weights)
        squares = np.sum(weights * (estimates - mean) ** 2)
        return squares - np.sum(np.log(weights)) + np.log(weights.sum())

    found = pool(estimates, variances).tau2
    others = np.concatenate([[0], np.geomspace(1e-4, 100, 500)])
    assert deviance(found) <= min(map(deviance, others)) + 1e-9


def test_equal_estimates_are_not_known_exactly():
    estimates, variances = np.array([2.0, 2.0, 2.0]), np.array([0.3, 0.3, 0.3])
    assert pool(estimates, variances).standard_error == pytest.approx(0)
    cautious = pool(estimates, variances, never_narrower=True)
    # The plain standard error of a mean of three, with t on 2 degrees of freedom.
    assert cautious.standard_error == pytest.approx(math.sqrt(0.1))
    assert cautious.interval.high == pytest.approx(2 + 4.302653 * math.sqrt(0.1))


@given(seeds)
def test_caution_only_ever_widens(seed):
    plain, cautious = pool(*trials(seed)), pool(*trials(seed), never_narrower=True)
    assert cautious.standard_error >= plain.standard_error
    assert cautious.estimate == plain.estimate


def test_equal_variances_have_a_formula():
    estimates = np.array([1.0, 4.0, 2.0, 7.0, 3.0])
    pooled = pool(estimates, np.full(5, 0.5))
    assert pooled.tau2 == pytest.approx(np.var(estimates, ddof=1) - 0.5)
    assert pooled.estimate == pytest.approx(np.mean(estimates))
    assert pooled.standard_error == pytest.approx(np.std(estimates, ddof=1) / math.sqrt(5))
    assert pooled.i2 == pytest.approx(100 * pooled.tau2 / (pooled.tau2 + 0.5))


def test_prediction_by_hand():
    pooled = pool(*trials(1, 9))
    spread = math.hypot(pooled.standard_error, math.sqrt(pooled.tau2))
    assert pooled.prediction.high == pytest.approx(pooled.estimate + 2.306004 * spread, rel=1e-6)
    fewer = pool(*trials(1, 9), prediction_freedom=7)
    assert fewer.prediction.high == pytest.approx(pooled.estimate + 2.364624 * spread, rel=1e-6)


@given(seeds, st.floats(-50, 50), st.floats(0.1, 10))
def test_shift_and_scale(seed, shift, scale):
    estimates, variances = trials(seed)
    one = pool(estimates, variances)
    other = pool(estimates * scale + shift, variances * scale**2)
    assert other.estimate == pytest.approx(one.estimate * scale + shift, abs=1e-6)
    assert other.tau2 == pytest.approx(one.tau2 * scale**2, rel=1e-5, abs=1e-7)
    assert other.i2 == pytest.approx(one.i2, abs=1e-4)


@given(seeds)
def test_the_next_session_is_less_certain_than_the_mean(seed):
    pooled = pool(*trials(seed))
    assert pooled.prediction.low <= pooled.interval.low + 1e-12
    assert pooled.prediction.high >= pooled.interval.high - 1e-12
    assert 0 <= pooled.i2 < 100


@pytest.mark.parametrize(("largest", "expected"), [(0.1, 0.95), (1.5, 0.88)])
def test_coverage_of_mean_and_prediction(largest, expected):
    # Where sampling variances match tau² = 1, predictions hold less than they claim.
    mean = following = 0
    for seed in range(400):
        random = np.random.default_rng(seed)
        variances, true = random.uniform(0.01, largest, 10), random.normal(2, 1, 11)
        pooled = pool(random.normal(true[:10], np.sqrt(variances)), variances)
        mean += pooled.interval.covers(2)
        following += pooled.prediction.covers(true[10])
    assert mean / 400 == pytest.approx(0.94, abs=0.03)
    assert following / 400 == pytest.approx(expected, abs=0.03)


def test_one_session_and_none():
    alone = pool(np.array([2.0]), np.array([0.25]))
    assert (alone.estimate, alone.standard_error) == (2, 0.5)
    assert np.isnan([alone.tau2, alone.interval.low, alone.prediction.high, alone.i2]).all()
    assert math.isnan(pool(np.array([]), np.array([])).estimate)


def test_alike_sessions():
    pooled = pool(np.full(4, 1.5), np.full(4, 0.2))
    assert pooled.tau2 == pooled.i2 == pooled.q == 0
    assert pooled.q_p == 1


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan])
def test_impossible_variances(wrong):
    with pytest.raises(ValueError, match="above 0"):
        pool(np.array([1.0, 2.0]), np.array([1.0, wrong]))
