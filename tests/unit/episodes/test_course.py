"""Course of a session: locking, settling, the longest time right, peaks, and phases in words."""

import numpy as np
import pytest

from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.course import course
from strapline.method.episodes.detect import detect
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.phases import course_in_words, phases
from strapline.method.episodes.view import View

SECONDS = np.arange(1200.0)
# Five peaks of 160 bpm, at 60 s and every 240 s after.
HEART = np.round(120 + 40 * np.sin(2 * np.pi * SECONDS / 240), 1)


def seen(device):
    known = ~np.isnan(device)
    return View(HEART, device, known, ~known, np.full(HEART.size, np.nan))


def went(device):
    view = seen(device)
    return course(view, detect(view, Episodes()), Tolerance())


def test_a_device_that_follows_is_right_from_the_start_and_at_every_peak():
    found = went(HEART + 1)
    assert (found.first_lock_s, found.settled_s, found.longest) == (0, 0, (0, 1200))
    assert found.longest_error_bpm == pytest.approx(1)
    assert [peak.second for peak in found.peaks] == [60, 300, 540, 780, 1020]
    assert all(peak.reached for peak in found.peaks)


def test_lock_settling_and_longest_time_follow_the_faults():
    device = HEART.copy()
    device[:80] -= 30
    device[500:600] += 25
    found = went(device)
    assert (found.first_lock_s, found.longest) == (80, (600, 1200))
    # From any second on track before 500 on, the 100 wrong seconds are more than 5 %.
    assert found.settled_s == 600


def test_a_flat_top_misses_its_peaks():
    device = np.minimum(HEART, 150.0)
    assert [peak.reached for peak in went(device).peaks] == [False] * 5
    assert [peak.reached for peak in went(np.minimum(HEART, 156.0)).peaks] == [True] * 5


def test_a_peak_is_late_by_what_the_device_is_and_has_no_delay_where_it_has_no_peak():
    assert [peak.late_s for peak in went(np.roll(HEART, 7)).peaks] == [7] * 5
    assert [peak.late_s for peak in went(np.roll(HEART, -4)).peaks] == [-4] * 5
    assert [peak.late_s for peak in went(np.roll(HEART, 60)).peaks] == [None] * 5


def test_a_peak_the_device_does_not_see_is_not_judged():
    device = HEART.copy()
    device[270:330] = np.nan
    assert len(went(device).peaks) == 4


def test_a_device_never_near_never_locks_nor_settles():
    found = went(HEART + 40)
    assert (found.first_lock_s, found.settled_s, found.longest) == (None, None, None)
    assert np.isnan(found.longest_error_bpm)


def episode(kind, start, end, error):
    return Episode(kind, start, end, (end - start) / 1800, error, error, "")


def test_the_course_is_told_in_order():
    told = course_in_words(
        [
            episode("stuck", 0, 78, -35.0),
            episode("follows_cadence", 1125, 1495, 22.0),
            episode("no_value", 1600, 1608, np.nan),
        ],
        80,
        1800,
    )
    assert told == (
        "Slow to lock until 1:20; on track to 18:45; shows the cadence, 22 bpm off on average, "
        "for 6 min 10 s from 18:45; on track from 24:55 to the end."
    )


def test_episodes_of_one_kind_are_told_together_and_weighed_by_time():
    sets = [episode("reads_low", 100 + 120 * n, 140 + 120 * n, -10.0 * (n + 1)) for n in range(3)]
    (phase,) = phases(sets, 1800)
    assert (phase.count, phase.start_s, phase.end_s, phase.time_s) == (3, 100, 380, 120)
    assert phase.error_bpm == pytest.approx(20)
    assert "reads low by 20 bpm 3 times between 1:40 and 6:20, 2 min in all" in course_in_words(
        sets, 0, 1800
    )


def test_late_both_ways_is_not_told_as_no_error():
    late = [episode("slow_to_follow", 100, 140, -12.0), episode("slow_to_follow", 200, 240, 12.0)]
    assert "slow to follow, 12 bpm off on average, 2 times" in course_in_words(late, 0, 1800)


def test_only_what_weighs_most_is_told():
    many = [
        episode(("reads_low", "reads_high")[n % 2], 100 * n, 100 * n + 30, 10.0 + n)
        for n in range(1, 17)
    ]
    told = phases(many, 1800)
    assert [phase.start_s for phase in told] == [1200, 1300, 1400, 1500, 1600]


def test_nothing_wrong_is_on_track_throughout():
    assert course_in_words([], 0, 1800) == "On track throughout."
    assert course_in_words([], None, 1800).startswith("Never near the reference for 30 s on end")
