"""A mean over activities, each counting alike."""

import math

import numpy as np
import pytest
from scipy import stats

from strapline.method.agreement.means import StratumMean, mean_over_strata


def stratum(values):
    n = len(values)
    error = np.std(values, ddof=1) / math.sqrt(n) if n > 1 else math.nan
    return StratumMean(n, float(np.mean(values)), float(error))


def test_two_strata_are_welch_s_comparison_with_one_side_turned():
    # (m1 + m2) / 2 is half of m1 - (-m2): scipy's Welch test, SciPy 1.17.
    desk, run = [0.2, 0.4, -0.1], [5.0, 2.0, 9.0, 4.0, 6.5]
    found = mean_over_strata([stratum(desk), stratum(run)])
    welch = stats.ttest_ind(desk, [-value for value in run], equal_var=False)
    ends = welch.confidence_interval()
    assert [found.interval.low, found.interval.high] == pytest.approx([ends.low / 2, ends.high / 2])
    assert found.freedom == pytest.approx(welch.df)
    assert found.mean == pytest.approx((np.mean(desk) + np.mean(run)) / 2)
    assert (found.sessions, found.furthest) == (8, pytest.approx(np.mean(run)))


def test_one_stratum_is_a_plain_mean():
    values = [1.0, 4.0, 2.0, 2.5]
    found = mean_over_strata([stratum(values)])
    expected = stats.ttest_1samp(values, 0).confidence_interval()
    assert [found.interval.low, found.interval.high] == pytest.approx(list(expected))


def test_how_many_sessions_an_activity_has_does_not_move_the_mean():
    few, many = [8.0, 10.0], [0.0, 1.0, -1.0] * 10
    assert mean_over_strata([stratum(few), stratum(many)]).mean == pytest.approx(4.5)


def test_where_a_session_is_alone_the_mean_has_no_interval():
    """How it varies nobody knows."""
    found = mean_over_strata([stratum([1.0, 3.0]), stratum([5.0, 6.0, 10.0]), stratum([3.0])])
    assert (found.mean, found.sessions, found.furthest) == (4, 6, 7)
    assert np.isnan([found.error, found.freedom, found.interval.low, found.interval.high]).all()


def test_sessions_that_all_agree_have_no_error():
    found = mean_over_strata([stratum([1.0, 1.0]), stratum([3.0, 3.0, 3.0])])
    assert (found.interval.low, found.interval.high) == (2.0, 2.0)


def test_no_stratum_is_refused():
    with pytest.raises(ValueError):
        mean_over_strata([])


def test_the_interval_holds_the_truth_as_often_as_it_says():
    random = np.random.default_rng(20)
    sizes, truths, spreads = (2, 3, 5, 4), (0.1, -2, -6, 1), (0.3, 2, 5, 1)
    held = 0
    for _ in range(2000):
        drawn = [
            stratum(random.normal(truth, spread, size))
            for size, truth, spread in zip(sizes, truths, spreads, strict=True)
        ]
        interval = mean_over_strata(drawn).interval
        held += interval.low <= np.mean(truths) <= interval.high
    assert 0.92 <= held / 2000 <= 0.99, held
