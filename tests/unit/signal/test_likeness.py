import numpy as np
import pytest

from strapline.method.signal.clocks.likeness import (
    Evidence,
    agreement_of,
    gather,
    smoothed,
    usual_level,
)


def test_a_mean_over_little_overlap_does_not_count():
    evidence = Evidence(
        agreed=np.array([[9.0, 30.0], [0.0, 20.0]]), compared=np.array([[10.0, 50.0], [0.0, 50.0]])
    )
    assert list(evidence.scores(np.ones((1, 2)))[0]) == [-np.inf, 0.5]


def test_weights_of_blocks_are_weights_of_their_seconds():
    evidence = Evidence(agreed=np.array([[10.0], [50.0]]), compared=np.array([[20.0], [50.0]]))
    assert evidence.scores(np.array([[1.0, 1.0], [2.0, 0.0]])).ravel() == pytest.approx(
        [60 / 70, 0.5]
    )


def test_agreement_is_whole_for_nothing_between_and_bounded_for_anything():
    assert np.nanmin(agreement_of(np.zeros(100))) == 1
    wild = agreement_of(np.random.default_rng(1).normal(0, 500, 2000))
    assert np.nanmin(wild) >= 0
    assert np.nanmean(wild) < 0.01


def test_series_side_by_side_are_judged_each_by_itself():
    apart = np.random.default_rng(4).normal([[0.0], [6.0], [90.0]], 2, (3, 300))
    apart[1, 40:60] = np.nan
    assert list(usual_level(apart)) == [usual_level(one) for one in apart]
    alone = [agreement_of(one) for one in apart]
    assert np.array_equal(agreement_of(apart), alone, equal_nan=True)


def test_a_plain_failure_takes_nothing_from_what_agrees():
    apart = np.zeros(400)
    apart[200:] = 80
    assert np.nansum(agreement_of(apart)[:190]) == pytest.approx(
        np.nansum(agreement_of(np.zeros(400))[:190])
    )


def test_every_second_with_a_value_is_counted_once():
    reference = np.arange(605.0)
    evidence = gather(reference, np.concatenate([reference, [np.nan] * 4]))
    assert evidence.compared.shape[1] == 5
    # Changes over 20 s are not known within 10 s of either end.
    assert evidence.compared[:, 0].sum() == pytest.approx(585, abs=3)


@pytest.mark.parametrize(
    ("apart", "level"),
    [
        (np.full(50, -3.2), -3),
        (np.concatenate([np.zeros(40), np.full(60, -30.0)]), 0),
        (np.full(50, 14.8), 0),
        (np.full(50, np.nan), 0),
        (np.array([]), 0),
    ],
)
def test_the_usual_level_is_the_most_frequent_within_reach(apart, level):
    assert usual_level(apart) == pytest.approx(level, abs=0 if abs(level) < 10 else 2)


def test_smoothing_keeps_gaps_and_short_series_missing():
    rate = np.full(20, 90.0)
    rate[8:12] = np.nan
    smooth = smoothed(rate)
    assert np.isnan(smooth[8:12]).all()
    assert smooth[[0, 7, 12, 19]] == pytest.approx([90] * 4)
    assert np.isnan(smoothed(np.full(4, 90.0))).all()
    assert smoothed(np.array([])).size == 0
