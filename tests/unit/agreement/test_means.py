"""Means on these wearers and over people, against general libraries and simulations."""

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as formula
from scipy import stats

from strapline.ground.settings import Equivalence
from strapline.method.agreement.biases import biases
from strapline.method.agreement.means import mean_over_strata, on_these_wearers, over_people


def archive(seed, wearers=6, each=5, between=2.0, within=1.0):
    random = np.random.default_rng(seed)
    member = np.repeat(np.arange(wearers), each)
    values = random.normal(0, between, wearers)[member] + random.normal(0, within, member.size)
    return values, member.astype(str)


def people(values, wearers):
    return over_people(values, wearers, np.full(values.size, "run"))


def test_one_wearer_has_students_interval():
    values, _ = archive(1)
    found = mean_over_strata([on_these_wearers(values, np.full(values.size, "ada"))])
    theirs = stats.ttest_1samp(values, 0).confidence_interval()
    assert [found.interval.low, found.interval.high] == pytest.approx(list(theirs))


def test_these_wearers_differences_are_given():
    values, wearers = archive(2, between=9.0)
    frame = pd.DataFrame({"value": values, "wearer": wearers})
    # An analysis of variance with a mean for each wearer: residual mean square over n.
    model = formula.ols("value ~ wearer", frame).fit()
    found = on_these_wearers(values, wearers)
    assert found.error == pytest.approx((model.mse_resid / values.size) ** 0.5)
    assert found.freedom == model.df_resid
    single = on_these_wearers(values[::5], wearers[::5])
    assert single.freedom == 5 and single.error > 3 * found.error


@pytest.mark.parametrize("seed", range(4))
def test_people_as_a_mixed_model(seed):
    """With as many sessions each, its mean and standard error are those of wearers' means; a
    session of a further wearer varies by both of its variances."""
    values, wearers = archive(seed, between=3.0)
    frame = pd.DataFrame({"value": values, "wearer": wearers})
    model = formula.mixedlm("value ~ 1", frame, groups="wearer").fit(reml=True)
    found = people(values, wearers)
    assert found.mean == pytest.approx(model.params.iloc[0], abs=1e-6)
    assert found.error == pytest.approx(model.bse.iloc[0], rel=1e-3)
    variance = model.cov_re.iloc[0, 0] + model.scale + model.bse.iloc[0] ** 2
    half = stats.t.ppf(0.975, 5) * variance**0.5
    assert (found.further.high - found.further.low) / 2 == pytest.approx(half, rel=1e-3)


def test_two_people_say_nothing_of_others():
    assert people(*archive(3, wearers=2)) is None
    assert people(*archive(3, wearers=3)) is not None


def test_who_did_only_what_others_did_not_is_no_witness_of_all_activities():
    # Each wearer another activity: what differs may be either.
    values = np.array([0.0, 1.0, 8.0, 9.0, -5.0, -4.0])
    alone = np.repeat(["a", "b", "c"], 2)
    assert over_people(values, alone, alone) is None
    both = np.tile(["run", "ride"], 3)
    found = over_people(values, alone, both)
    assert found.mean == pytest.approx(np.mean(values)) and np.isnan(found.further.low)


@pytest.mark.parametrize("wearers", [3, 4, 6])
def test_people_who_differ_are_not_mistaken_for_a_bias(wearers):
    """True mean 0; people differ by 2 bpm (SD), 5 sessions each by 1: at most 6 % are apart."""
    apart = 0
    for seed in range(1000):
        interval = people(*archive(seed, wearers)).interval
        apart += not interval.low <= 0 <= interval.high
    assert apart / 1000 <= 0.06 + 1.64 * (0.06 * 0.94 / 1000) ** 0.5


@pytest.mark.slow
def test_a_mean_is_known_no_worse_than_the_bias_of_a_further_session():
    """Of small archives of every shape: wearers drawn at random, who differ or do not."""
    random = np.random.default_rng(1)
    for _ in range(2000):
        wearers = random.integers(0, 4, random.integers(2, 9)).astype(str)
        apart = random.normal(0, random.choice([0.0, 5.0]), 4)
        own = pd.DataFrame({"bias": random.normal(apart[wearers.astype(int)], 3)})
        own = own.assign(wearer=wearers, done="run", minutes=20.0)
        told = {each.statistic: each.interval for each in biases(own, Equivalence())}
        mean, further = told["bias"], told["bias_next_session"]
        assert further.low < mean.low and mean.high < further.high


@pytest.mark.parametrize("apart_bpm", [0.0, 6.0])
def test_of_few_sessions_of_several_wearers_the_interval_holds_their_mean(apart_bpm):
    """Three sessions of two wearers leave one degree of freedom within them."""
    random = np.random.default_rng(2)
    wearers, theirs = np.array(["ada", "ada", "bo"]), apart_bpm * np.array([-1, -1, 2])
    intervals = [
        mean_over_strata([on_these_wearers(values, wearers)]).interval
        for values in random.normal(theirs, 3, (2000, 3))
    ]
    assert np.mean([one.low <= 0 <= one.high for one in intervals]) >= 0.94
