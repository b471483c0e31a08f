"""Course of a session: locking, settling, the longest time right, and peaks."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from strapline.ground.settings import Episodes, Tolerance
from strapline.method.episodes.course import course
from strapline.method.episodes.detect import detect
from strapline.method.episodes.peaks import peaks
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
    assert (found["first_lock_s"], found["settled_s"]) == (0, 0)
    assert (found["longest_start_s"], found["longest_end_s"]) == (0, 1200)
    assert found["longest_error_bpm"] == pytest.approx(1)
    assert [peak.second for peak in peaks(seen(HEART + 1))] == [60, 300, 540, 780, 1020]
    assert found["peaks"] == found["peaks_reached"] == 5


def test_lock_settling_and_longest_time_follow_the_faults():
    device = HEART.copy()
    device[:80] -= 30
    device[500:600] += 25
    found = went(device)
    assert found["first_lock_s"] == 80
    assert (found["longest_start_s"], found["longest_end_s"]) == (600, 1200)
    # From any second on track before 500 on, the 100 wrong seconds are more than 5 %.
    assert found["settled_s"] == 600


def test_a_flat_top_misses_its_peaks():
    device = np.minimum(HEART, 150.0)
    assert went(device)["peaks_reached"] == 0
    assert went(np.minimum(HEART, 156.0))["peaks_reached"] == 5


def test_a_device_that_overshoots_a_peak_does_not_reach_it():
    device = HEART.copy()
    device[40:80] += 8
    found = [(peak.reached, peak.overshot) for peak in peaks(seen(device))]
    assert found == [(False, True), *[(True, False)] * 4]


def test_a_device_off_track_holds_no_rate_however_near_it_is():
    """11 bpm high is within 10 % of most of these rates."""
    device = HEART + 11
    assert went(device)["first_lock_s"] is None
    device[600:] -= 11
    assert went(device)["first_lock_s"] == 600


def test_a_peak_is_late_by_what_the_device_is_and_has_no_delay_where_it_has_no_peak():
    assert [peak.late_s for peak in peaks(seen(np.roll(HEART, 7)))] == [7] * 5
    assert [peak.late_s for peak in peaks(seen(np.roll(HEART, -4)))] == [-4] * 5
    assert [peak.late_s for peak in peaks(seen(np.roll(HEART, 60)))] == [None] * 5


@pytest.mark.parametrize("seed", range(5))
def test_a_peak_whose_top_is_flat_but_for_noise_has_no_delay(seed):
    """Three minutes at one rate, give or take a beat: which second is the highest is chance."""
    noise = gaussian_filter1d(np.random.default_rng(seed).normal(0, 3, SECONDS.size), 3)
    effort = (SECONDS % 300 < 180).astype(float)
    heart = 120 + 40 * gaussian_filter1d(effort, 8) + noise
    device = np.roll(heart, 2)
    known = np.isfinite(device)
    found = peaks(View(heart, device, known, ~known, np.full(heart.size, np.nan)))
    on_top = [peak.late_s for peak in found if 30 < peak.second % 300 < 150]
    assert on_top
    assert on_top == [None] * len(on_top)


def test_a_peak_the_device_does_not_see_is_not_judged():
    device = HEART.copy()
    device[270:330] = np.nan
    assert went(device)["peaks"] == 4


def test_a_device_never_near_never_locks_nor_settles():
    found = went(HEART + 40)
    names = ("first_lock_s", "settled_s", "longest_start_s", "longest_end_s")
    assert [found[name] for name in names] == [None] * 4
    assert np.isnan(found["longest_error_bpm"])
