"""How much of the time a device is not right, in archives where that is known exactly."""

import math

import numpy as np
import pytest
from scipy import stats

from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES, ANY_KIND, UNSTATED
from strapline.method.episodes.faults import faults
from unit.episodes.fault_archives import archive, low


def found(*sessions, back_s=10):
    table = faults(*archive(*sessions), back_s, OverAll())
    keys = ["device", "activity", "kind"]
    return table.astype(dict.fromkeys(keys, str)).set_index(keys)


MIXED = (
    {
        "judged_s": 1800,
        "episodes": [
            ("reads_low", 100, 160, -20.0, 9),
            ("reads_low", 200, 320, -14.0, 10),
            ("no_value", 330, 360, math.nan, 700),
        ],
    },
    {"judged_s": 3600, "wearer": "bo", "episodes": [("reads_low", 0, 90, -8.0, 0)]},
    {"judged_s": 1800, "wearer": UNSTATED, "episodes": []},
)


def test_rates_are_those_of_the_archive():
    """270 s low in two hours judged are 2.25 min an hour; with 30 s missing 2.5."""
    table = found(*MIXED)
    low_ = table.loc["watch", "run", "reads_low"]
    assert low_["minutes_per_hour"] == pytest.approx(2.25)
    assert table.loc[("watch", "run", ANY_KIND), "minutes_per_hour"] == pytest.approx(2.5)
    assert low_[["sessions", "sessions_with", "wearers", "episodes"]].tolist() == [3, 2, 2, 3]
    assert (low_["minutes"], low_["median_length_s"]) == (120, 90)
    assert low_["mean_error_bpm"] == pytest.approx((60 * 20 + 120 * 14 + 90 * 8) / 270)


def test_a_device_came_back_if_it_was_on_track_for_long_enough():
    table = found(*MIXED)
    assert table.loc[("watch", "run", "reads_low"), "came_back"] == 1
    assert table.loc[("watch", "run", ANY_KIND), "came_back"] == 2
    assert found(*MIXED, back_s=9).loc[("watch", "run", "reads_low"), "came_back"] == 2


def test_what_never_occurred_has_a_row():
    row = found(*MIXED).loc["watch", "run", "stuck"]
    assert (row["minutes_per_hour"], row["sessions_with"], row["episodes"]) == (0, 0, 0)
    assert np.isnan(row[["low", "high", "median_length_s", "mean_error_bpm"]].astype(float)).all()


def test_the_interval_is_that_of_a_ratio_on_a_logarithmic_scale():
    """Error of a ratio by the textbook's other form, from numpy's covariances; t from scipy."""
    seconds, judged = np.array([60, 400, 0, 150]), np.array([1800, 3600, 1500, 2400])
    row = found(*(low(s, t) for s, t in zip(seconds.tolist(), judged.tolist(), strict=True)))
    row = row.loc["watch", "run", "reads_low"]
    ratio = seconds.sum() / judged.sum()
    (xx, xt), (_, tt) = np.cov(seconds, judged)
    error = math.sqrt((xx + ratio**2 * tt - 2 * ratio * xt) / 4) / judged.mean()
    factor = math.exp(stats.t.ppf(0.975, 3) * error / ratio)
    assert row["minutes_per_hour"] == pytest.approx(60 * ratio)
    assert (row["low"], row["high"]) == (
        pytest.approx(60 * ratio / factor),
        pytest.approx(min(60 * ratio * factor, 60)),
    )


def test_lateness_is_counted_apart_whether_a_clock_is_known_or_not():
    """A wrong clock makes it too, so who writes what tells a clock must not be charged for it."""
    late = [("slow_to_follow", 0, 120, 12.0, 500), ("reads_low", 700, 760, -20.0, 500)]
    for open_clocks in ((True, False), (True, True), (False, False)):
        sessions = [
            {"judged_s": 3600, "episodes": late, "clock_is_open": is_open}
            for is_open in open_clocks
        ]
        counts = found(*sessions).loc["watch", "run"][["episodes", "minutes_per_hour"]]
        assert counts.loc[ANY_KIND].tolist() == [2, pytest.approx(1)]
        assert counts.loc["slow_to_follow"].tolist() == [2, pytest.approx(2)]


def test_what_stands_out_while_it_was_late_is_a_fault():
    late = [("slow_to_follow", 0, 600, 12.0, 500), ("follows_cadence", 60, 180, 30.0, 0, 0)]
    row = found({"judged_s": 3600, "episodes": late}).loc["watch", "run", ANY_KIND]
    assert row[["episodes", "minutes_per_hour"]].tolist() == [1, pytest.approx(2)]


def test_over_all_activities_each_counts_alike():
    """Four runs with 6 minutes an hour, one ride with 30: 18, not 10.8."""
    table = found(*[low(360)] * 4, low(1800, activity="ride"))
    over = table.loc["watch", ALL_ACTIVITIES, "reads_low"]
    assert over["minutes_per_hour"] == pytest.approx(18)
    assert (over["sessions"], over["minutes"]) == (5, 300)


def test_one_session_has_no_interval():
    row = found(low(360)).loc["watch", "run", "reads_low"]
    assert row["minutes_per_hour"] == pytest.approx(6)
    assert math.isnan(row["low"]) and math.isnan(row["high"])


def test_two_recordings_of_a_device_in_a_session_are_one_session():
    twice = {"session": "s", "device": "watch"}
    row = found(low(360, **twice), low(0, recording="watch-2", **twice))
    row = row.loc["watch", "run", "reads_low"]
    assert (row["sessions"], row["minutes"]) == (1, 60)
    assert row["minutes_per_hour"] == pytest.approx(3)


def test_an_interval_that_ends_beyond_the_hour_is_none():
    row = found(low(3000), low(0, 3600), low(3600)).loc["watch", "run", "reads_low"]
    assert row["minutes_per_hour"] > 20
    assert np.isnan(row["low"]) and np.isnan(row["high"])


def test_no_sessions_give_no_rows():
    assert len(faults(*archive(), 10, OverAll())) == 0
