import numpy as np
import pytest

from strapline.demo.physiology import first_order, wandering
from strapline.method.signal.response import first_lock, response
from unit.signal.invented import workout


def delayed(rate, seconds):
    return np.concatenate([np.full(seconds, rate[0]), rate[: rate.size - seconds]])


@pytest.mark.parametrize("late_s", [0, 3, 12, 30])
def test_a_plain_delay_is_found_for_rises_and_falls(late_s):
    reference = workout(1800, 1)
    found = response(reference, delayed(reference, late_s))
    for side in (found.rising, found.falling):
        assert side.delay_s == pytest.approx(late_s, abs=0.2)
        assert side.low_s <= side.delay_s <= side.high_s


def test_parts_of_a_second_are_told():
    reference = workout(1800, 1)
    seconds = np.arange(1800.0)
    found = response(reference, np.interp(seconds - 4.3, seconds, reference))
    assert found.rising.delay_s == pytest.approx(4.3, abs=0.15)
    assert found.falling.delay_s == pytest.approx(4.3, abs=0.15)


def sensed_late(rate, how, late_s):
    """By a response whose weights have their centre so many seconds back."""
    if how == "running mean":
        weights = np.full(2 * late_s + 1, 1.0)
    else:
        kept = late_s / (1 + late_s)
        weights = kept ** np.arange(20 * late_s)
    if how == "first order twice":
        kept = late_s / (2 + late_s)
        weights = np.convolve(*[kept ** np.arange(20 * late_s)] * 2)
    assert np.arange(weights.size) @ weights / weights.sum() == pytest.approx(late_s, rel=1e-3)
    padded = np.pad(rate, (weights.size - 1, 0), mode="edge")
    return np.convolve(padded, weights / weights.sum(), "valid")


@pytest.mark.parametrize("how", ["first order", "running mean", "first order twice"])
@pytest.mark.parametrize("late_s", [2, 5, 9, 12, 15])
def test_a_slow_sensor_is_as_late_as_its_response_is_on_average(how, late_s):
    reference = workout(2700, 4)
    noise = wandering(2700, 1.5, 4, np.random.default_rng(late_s))
    found = response(reference, np.round(sensed_late(reference, how, late_s) + noise))
    for side in (found.rising, found.falling, found.throughout):
        assert side.delay_s == pytest.approx(late_s, abs=1.2)
        assert side.low_s <= late_s <= side.high_s
    assert found.uneven is None


def test_a_mean_over_the_last_30_s_is_no_first_order_response():
    """Intervals, where what either makes of a rise differs most: that one would be 15.2 s late."""
    effort = np.tile(np.repeat([1.0, 0.2, 1.0, 0.2], [100, 140, 60, 90]), 6)
    reference = np.round(first_order(70 + 100 * effort, 22, 38))
    device = np.round(
        np.convolve(np.pad(reference, (29, 0), mode="edge"), np.ones(30) / 30, "valid")
    )
    for side in (found := response(reference, device)).rising, found.falling, found.throughout:
        assert side.delay_s == pytest.approx(14.5, abs=0.5)


@pytest.mark.parametrize("share", [0.6, 1.1])
def test_a_sensor_that_sees_a_share_of_every_change_is_not_late_for_that(share):
    reference = workout(2700, 4)
    throughout = response(reference, 90 + share * (reference - 90)).throughout
    assert throughout.delay_s == pytest.approx(0, abs=0.5)


def test_another_workout_has_no_delay():
    for seed in range(10):
        found = response(workout(2700, 100 + seed), workout(2700, 200 + seed))
        assert (found.rising, found.falling, found.throughout) == (None, None, None)


def test_a_sensor_that_falls_slower_than_it_rises():
    reference = workout(3600, 2)
    noise = np.random.default_rng(1).normal(0, 1, 3600)
    device = first_order(delayed(reference, 2), rise_s=1, fall_s=15) + noise
    found = response(reference, device)
    assert found.rising.delay_s == pytest.approx(3, abs=1.5)
    assert found.falling.delay_s == pytest.approx(17, abs=2.5)
    assert found.rising.high_s < found.falling.low_s
    assert found.uneven.low_s <= -14 <= found.uneven.high_s < -8


@pytest.mark.parametrize(("rise_s", "fall_s"), [(12, 4), (4, 12), (3, 14), (10, 3), (6, 6)])
def test_sets_and_pauses_part_a_sensor_that_is_slow_at_one_of_them(rise_s, fall_s):
    """At a set's end a sensor that is slow at rises is still on its way up."""
    random = np.random.default_rng(4)
    lengths = random.integers(35, 110, 36)
    effort = np.repeat(np.where(np.arange(36) % 2, random.uniform(0.7, 1, 36), 0.25), lengths)
    reference = 70 + first_order(108 * effort, 28, 45)
    noise = wandering(reference.size, 0.7, 6, random)
    found = response(np.round(reference), np.round(first_order(reference, rise_s, fall_s) + noise))
    for side, truth in ((found.rising, rise_s), (found.falling, fall_s)):
        assert side.low_s <= truth <= side.high_s
        assert side.delay_s == pytest.approx(truth, abs=2.2)


def test_bias_failed_rises_and_gaps_do_not_decide():
    reference = workout(3600, 3)
    device = delayed(reference, 6) + 8
    device[1200:1500] = 70
    device[2000:2200] = np.nan
    found = response(reference, device)
    assert found.rising.delay_s == pytest.approx(6, abs=0.5)
    assert found.falling.delay_s == pytest.approx(6, abs=0.5)


def sets_and_rests(seed, late_s, low_bpm=(0, 0)):
    """A strap and a device so late on it, which in each of eight sets reads so much too low."""
    random = np.random.default_rng(seed)
    warming_up = [(random.integers(50, 90), effort, 0.0) for effort in (0.5, 0.3) * 3]
    lifting = [
        phase
        for _ in range(8)
        for phase in (
            (random.integers(35, 60), random.uniform(0.7, 0.9), random.uniform(*low_bpm)),
            (random.integers(60, 95), 0.3, 0.0),
        )
    ]
    lengths, effort, low = zip(*((240, 0.3, 0.0), *warming_up, *lifting), strict=True)
    unrest = wandering(sum(lengths), 3, 20, random)
    strap = first_order(60 + 125 * np.repeat(effort, lengths) + unrest, 22, 35)
    device = delayed(first_order(strap, 2, 2), late_s - 2) if late_s else strap
    lost = first_order(np.repeat(low, lengths), 6, 12)
    return strap, np.round(device - lost + wandering(strap.size, 1, 8, random))


@pytest.mark.parametrize("late_s", [3, 12, 23])
@pytest.mark.parametrize("low_bpm", [(0, 0), (20, 40)])
def test_sets_that_a_device_does_not_see_are_not_taken_for_lateness(late_s, low_bpm):
    for seed in range(5):
        throughout = response(*sets_and_rests(seed, late_s, low_bpm)).throughout
        assert throughout.delay_s == pytest.approx(late_s, abs=2)


def test_where_nothing_but_failing_sets_moves_the_delay_is_not_known():
    for seed in range(3):
        strap, device = sets_and_rests(seed, 3, (25, 35))
        assert response(strap[700:], device[700:]).throughout is None


@pytest.mark.slow
def test_the_interval_holds_the_truth():
    inside = 0
    for seed in range(30):
        reference = workout(1800, 50 + seed)
        random = np.random.default_rng(seed)
        device = delayed(reference, 5) + wandering(1800, 1.5, 10, random)
        rising = response(reference, device).rising
        inside += rising.low_s <= 5 <= rising.high_s
    assert inside >= 27


def test_too_few_rises_tell_nothing():
    assert response(np.full(900, 80.0), np.full(900, 80.0)).rising is None
    one_rise = np.concatenate([np.full(300, 80.0), np.full(300, 140.0)])
    found = response(one_rise, one_rise)
    assert found.rising is None
    assert found.falling is None
    empty = response(np.array([]), np.array([]))
    assert empty.rising is None
    missing = response(workout(900, 1), np.full(900, np.nan))
    assert missing.falling is None
    assert response(workout(30, 1), workout(30, 1)).rising is None


def test_first_lock_is_the_start_of_the_first_stretch_that_holds():
    reference = np.full(120, 100.0)
    device = np.full(120, 130.0)
    device[20:40] = 101  # near for 20 s only
    device[50:] = 96
    assert first_lock(reference, device, hold_s=30, beats=5, percent=0) == 50
    assert first_lock(reference, device, hold_s=20, beats=5, percent=0) == 20
    assert first_lock(reference, device, hold_s=80, beats=5, percent=0) is None
    assert first_lock(reference, reference, hold_s=120, beats=5, percent=0) == 0
    assert first_lock(reference, reference, hold_s=121, beats=5, percent=0) is None


def test_the_wider_tolerance_counts_and_missing_seconds_do_not():
    reference = np.full(60, 150.0)
    assert first_lock(reference, reference + 12, hold_s=30, beats=5, percent=10) == 0
    assert first_lock(reference, reference + 12, hold_s=30, beats=5, percent=5) is None
    device = reference.copy()
    device[10] = np.nan
    assert first_lock(reference, device, hold_s=30, beats=5, percent=10) == 11
    doubted = reference.copy()
    doubted[[0, 1, 2, 20]] = np.nan
    assert first_lock(doubted, reference, hold_s=30, beats=5, percent=10) == 0
    device[3:10] = 100
    assert first_lock(doubted, device, hold_s=30, beats=5, percent=10) == 8
    assert first_lock(np.array([]), np.array([]), hold_s=30, beats=5, percent=10) is None
