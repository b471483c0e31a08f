import numpy as np
import pytest

from strapline.demo.physiology import first_order
from strapline.method.signal.clocks.quarters import find_gross_shift, spoken
from strapline.method.signal.trace import Trace
from unit.signal.invented import paired, unpaired, workout

pytestmark = pytest.mark.slow

NOON_S = 1_780_000_000.0


def trace(rate, start_s=NOON_S):
    return Trace(start_s + np.arange(rate.size), rate)


def shift_found(reference, device):
    return find_gross_shift(reference, device, search_s=90, longest_gap_s=10)


@pytest.mark.parametrize("wrong_s", [3600, -3600, 7200, -900, 5 * 3600 + 2700, -13 * 3600])
def test_whole_hours_and_quarters_are_found(wrong_s):
    reference = workout(2400, seed=1)
    noise = np.random.default_rng(1).normal(0, 1, 2400)
    device = trace(reference + noise, NOON_S + wrong_s + 23.5)
    assert shift_found(trace(reference), device) == -wrong_s


@pytest.mark.parametrize("off_s", [0, 3, -40, 80])
def test_clocks_that_agree_are_left_alone(off_s):
    reference = workout(2400, seed=2)
    assert shift_found(trace(reference), trace(reference, NOON_S + off_s)) == 0


def test_a_quarter_of_an_hour_within_overlapping_recordings():
    reference = workout(5400, seed=3)
    assert shift_found(trace(reference), trace(reference, NOON_S + 900)) == -900


def test_recordings_that_overlap_in_part():
    reference = workout(3600, seed=4)
    device = trace(reference[2400:], NOON_S + 2400 + 3600)
    assert shift_found(trace(reference), device) == -3600
    longer = trace(workout(1500, seed=5), NOON_S - 1500 + 3600)
    both = Trace(
        np.concatenate([longer.time_s, NOON_S + 3600 + np.arange(3600)]),
        np.concatenate([longer.rate, reference]),
    )
    assert shift_found(trace(reference), both) == -3600


def test_a_shift_that_is_no_quarter_is_not_forced():
    reference = workout(2400, seed=6)
    assert shift_found(trace(reference), trace(reference, NOON_S + 3600 + 450)) == 0


@pytest.mark.parametrize("seed", [6, 12, 15, 23, 24, 31, 59])
def test_a_pause_left_out_is_no_quarter_of_an_hour(seed):
    """Intervals alike, and a file without a pause: what fits some of them fits no better."""
    random = np.random.default_rng(seed)
    second, period = np.arange(2400), int(random.integers(120, 300))
    at_work = (second % period) < int(period * random.uniform(0.4, 0.6))
    effort = np.where(at_work, random.uniform(150, 175), random.uniform(105, 130))
    effort[:300] = 110
    reference = first_order(effort, 40, 40) + np.cumsum(random.normal(0, 0.05, 2400))
    random = np.random.default_rng(1000 + seed)
    pause_s, at = int(random.integers(15, 91)), int(random.integers(600, 1800))
    slow = first_order(reference, 4, 4) + random.normal(0, 1, 2400)
    device = np.concatenate([slow[:at], slow[at + pause_s :]])
    assert shift_found(trace(reference), trace(device)) == 0


def test_two_shifts_that_fit_are_not_chosen_between():
    # The same quarter of an hour twice: the device's one quarter fits in either place.
    quarter = workout(900, seed=7)
    device = trace(quarter, NOON_S + 5 * 3600)
    assert shift_found(trace(quarter), device) == -5 * 3600
    assert shift_found(trace(np.tile(quarter, 2)), device) == 0


def test_clocks_that_agree_stand_even_if_a_shift_fits_too():
    quarter = workout(900, seed=9)
    noisy = quarter + np.random.default_rng(9).normal(0, 1, 900)
    reference = trace(np.concatenate([noisy, quarter]))
    # A quarter of an hour later it fits even better.
    assert shift_found(reference, trace(quarter)) == 0


@pytest.mark.parametrize("kind", ["other workout", "same plan", "other efforts"])
def test_other_workouts_are_not_shifted_together(kind):
    shifts = []
    for seed in range(25):
        pair = unpaired(seed, kind)
        shifts.append(shift_found(pair.reference, pair.device.shifted(3600)))
    assert np.count_nonzero(shifts) <= 1


def test_wrist_sensors_an_hour_off_are_mended_or_left_alone():
    right = 0
    for seed in range(30):
        pair = paired(seed)
        shift_s = shift_found(pair.reference, pair.device.shifted(-3600))
        assert shift_s in (0, 3600)
        right += shift_s == 3600
    assert right >= 15


def test_a_slow_sensor_is_shifted_if_the_spans_then_meet():
    # Too slow to follow closely: shape alone would not do.
    reference = workout(2400, seed=10)
    slow = first_order(reference, 12, 25)
    assert shift_found(trace(reference), trace(slow, NOON_S - 3600)) == 3600
    # Not so where the recordings share time as they stand, or the spans do not meet.
    assert shift_found(trace(reference), trace(slow, NOON_S - 900)) == 0
    before = trace(workout(7200, seed=11), NOON_S - 7200)
    longer = Trace(
        np.concatenate([before.time_s, NOON_S + np.arange(2400)]),
        np.concatenate([before.rate, reference]),
    )
    assert shift_found(longer, trace(slow, NOON_S - 3600)) == 0


def test_long_recordings_are_looked_at_where_they_are_liveliest():
    calm = np.full(6 * 3600, 60.0)
    calm[14400:16200] = workout(1800, seed=8)
    assert shift_found(trace(calm), trace(calm, NOON_S + 3600)) == -3600


def test_nothing_to_compare():
    empty = Trace(np.array([]), np.array([]))
    assert shift_found(empty, trace(workout(900, 1))) == 0
    assert shift_found(trace(workout(900, 1)), empty) == 0
    assert shift_found(trace(workout(60, 1)), trace(workout(60, 1))) == 0


def test_shifts_in_words():
    assert [spoken(s) for s in (3600, -900, 5 * 3600 + 2700, 0)] == [
        "+1 h",
        "−15 min",
        "+5 h 45 min",
        "+0 min",
    ]
