import math

import numpy as np
import pytest
from scipy import stats

from strapline.method.agreement.limit_intervals import known_limits
from strapline.method.agreement.means import mean_over_strata, on_these_wearers
from strapline.method.agreement.repeated_measures import SubjectSummaries
from strapline.method.planning.precision import (
    MOST,
    Spread,
    bias_half_width,
    limit_half_width,
    sessions_for,
)

SPREAD = Spread(of_biases=16, within=64, independent=30)
# A session of one independent value: Bland & Altman's plain case of n pairs.
PLAIN = Spread(of_biases=1, within=1, independent=1 + 1e-9)


@pytest.mark.parametrize(("pairs", "printed"), [(100, 0.34), (200, 0.24)])
def test_a_limit_of_agreement_is_known_as_bland_says(pairs, printed):
    """Bland, 'How can I decide the sample size for a study of agreement between two methods of
    measurement?', 2004: the standard error of a limit is about root(3 s² / n), so that with 100
    pairs it is known to ±0.34 s, with 200 to ±0.24 s (values from memory)."""
    assert 1.96 * math.sqrt(3 / pairs) == pytest.approx(printed, abs=0.005)
    assert limit_half_width(PLAIN, pairs) == pytest.approx(printed, abs=0.01)


def test_the_bias_has_students_interval():
    """Half-width of scipy's t interval of a mean with this standard deviation."""
    low, high = stats.t.interval(0.95, 9, loc=0, scale=4 / math.sqrt(10))
    assert bias_half_width(SPREAD, 10) == pytest.approx((high - low) / 2)


def test_the_number_of_sessions_is_the_fewest_that_will_do():
    for half_width in (bias_half_width, limit_half_width):
        number = sessions_for(half_width, SPREAD, 2, 0.9)
        assert half_width(SPREAD, number, 0.9) <= 2 < half_width(SPREAD, number - 1, 0.9)


def test_more_spread_certainty_or_precision_take_more_sessions():
    usual = sessions_for(bias_half_width, SPREAD, 2, 0.9)
    assert sessions_for(bias_half_width, Spread(25, 64, 30), 2, 0.9) > usual
    assert sessions_for(bias_half_width, SPREAD, 2, 0.99) > usual
    assert sessions_for(bias_half_width, SPREAD, 1, 0.9) > usual


def test_the_number_has_an_end():
    assert sessions_for(bias_half_width, SPREAD, 0.01, 0.9) == MOST + 1
    assert sessions_for(bias_half_width, Spread(1e-6, 1e-4, 30), 2, 0.9) == 2


def drawn(spread, sessions, seed):
    """Biases and SDs of sessions of a test, from normal distributions of the spread."""
    random = np.random.default_rng(seed)
    variance = spread.within * random.chisquare(spread.independent - 1, sessions)
    return (
        random.normal(-3, math.sqrt(spread.of_biases), sessions),
        variance / (spread.independent - 1),
    )


@pytest.mark.parametrize("wanted", [2.0, 3.5])
def test_the_promise_on_the_bias_holds(wanted):
    """The archive's own interval, of simulated sessions as many as planned, is as narrow as
    promised in at least 9 of 10 tests (less two standard errors of 600 tests)."""
    sessions = sessions_for(bias_half_width, SPREAD, wanted, 0.9)
    reached = 0
    for seed in range(600):
        biases, _ = drawn(SPREAD, sessions, seed)
        on = on_these_wearers(biases, np.full(sessions, "w"))
        found = mean_over_strata([on]).interval
        reached += (found.high - found.low) / 2 <= wanted
    assert reached / 600 >= 0.9 - 2 * math.sqrt(0.09 / 600)


@pytest.mark.parametrize("spread", [SPREAD, Spread(of_biases=4, within=100, independent=60)])
def test_the_promise_on_the_limits_holds(spread):
    sessions = sessions_for(limit_half_width, spread, 4, 0.9)
    reached = 0
    for seed in range(600):
        biases, variances = drawn(spread, sessions, seed)
        count = np.full(sessions, spread.independent)
        found = known_limits(SubjectSummaries(count, biases, variances)).lower
        reached += (found.high - found.low) / 2 <= 4
    assert reached / 600 >= 0.9 - 2 * math.sqrt(0.09 / 600)


def test_the_width_on_average_is_promised_to_about_half_of_all_tests():
    """Why an assurance is planned with: without it, only about every second test reaches it."""
    sessions = next(n for n in range(2, 99) if bias_half_width(SPREAD, n) <= 2)
    widths = [
        stats.t.ppf(0.975, sessions - 1)
        * np.std(drawn(SPREAD, sessions, seed)[0], ddof=1)
        / math.sqrt(sessions)
        for seed in range(600)
    ]
    assert 0.4 < np.mean(np.array(widths) <= 2) < 0.75
