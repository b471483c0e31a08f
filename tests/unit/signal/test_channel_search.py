"""Clocks told apart by what both files measured besides heart rate."""

import numpy as np
import pytest
from scipy import stats

from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.channel_search import ChannelOffset, Twin, accepted_of, agreed

START_S = 1_700_000_000.0


def pace(seed, seconds=2400):
    """Speed of somebody who changes pace every half minute or so, in m/s; invented."""
    chance = np.random.default_rng(seed)
    levels = np.repeat(chance.uniform(1.5, 4.5, 200), chance.integers(10, 60, 200))[:seconds]
    return np.convolve(levels, np.ones(6) / 6, mode="same")


def measured(values, clock_s=0.0, every=1, noise=0.0, seed=0):
    """What a sensor wrote whose clock is ahead by `clock_s`."""
    time_s = np.arange(0, values.size, every)
    noisy = values[time_s] + np.random.default_rng([seed, 7]).normal(0, noise, time_s.size)
    return Channel(START_S + time_s + clock_s, noisy)


def speed(device, reference=None):
    return Twin("speed_m_s", reference or measured(pace(1)), device)


def found(device, reference=None):
    return speed(device, reference).offset


@pytest.mark.parametrize("clock_s", [0.0, 2.5, -8.0, 25.0, -70.0, 1800.0])
def test_a_clock_is_told_to_half_a_second(clock_s):
    offset = found(measured(pace(1)[: 2400 - 60], clock_s, noise=0.3))
    assert offset.accepted
    assert offset.offset_s == pytest.approx(-clock_s, abs=0.5)


def test_a_device_that_writes_seldom_is_told_too():
    offset = found(measured(pace(1), 6.0, every=7, noise=0.1))
    assert offset.accepted
    assert offset.offset_s == pytest.approx(-6.0, abs=1.0)


def test_the_correlation_is_that_of_a_general_library():
    """At the best lag over the seconds both have: scipy.stats.pearsonr of the same changes."""
    ours, theirs = pace(2), pace(2) + np.random.default_rng(5).normal(0, 0.5, 2400)
    offset = found(measured(theirs, 4.0), measured(ours))

    def changes(value):
        return moving(value, 3) - moving(value, 120)

    r = stats.pearsonr(changes(ours), changes(theirs)).statistic
    assert offset.correlation == pytest.approx(r, abs=1e-6)
    assert offset.common_s == 2400


def moving(value, width):
    """A mean over `width` seconds, those at the ends over what there is of them."""
    before, after = width // 2, (width - 1) // 2
    return np.array([value[max(i - before, 0) : i + after + 1].mean() for i in range(value.size)])


@pytest.mark.parametrize("seed", range(30))
def test_strangers_set_no_clock(seed):
    offset = found(measured(pace(100 + seed)), measured(pace(200 + seed)))
    assert offset is None or not offset.accepted


def test_a_constant_pace_tells_nothing():
    steady = 3 + 0.05 * np.random.default_rng(3).normal(size=2400)
    assert found(measured(steady), measured(steady)) is None


def test_repeats_that_are_all_alike_tell_nothing():
    """Every minute like the one before: the lead over the next minute is nothing."""
    alike = np.tile(pace(4)[:60], 40)
    offset = found(measured(alike, 5.0), measured(alike))
    assert not offset.accepted
    assert offset.lead < 0.1


def repeated(period_s, apart, seed=0, seconds=2100):
    """Speed over intervals of equal length, each its own by `apart` m/s, and steps of one's own."""
    chance = np.random.default_rng([seed, 3])
    each = chance.normal(0, apart, (seconds // period_s + 1, 1))
    easy = np.arange(period_s) >= 0.8 * period_s
    levels = (3.2 + each - 1.7 * easy).ravel()[:seconds]
    return moving(levels + chance.normal(0, apart, seconds), 6)


@pytest.mark.parametrize("clock_s", [0.0, -8.0, 180.0])
def test_a_smaller_lead_is_enough_where_the_next_best_explains_far_less(clock_s):
    offset = found(measured(repeated(180, 0.6), clock_s), measured(repeated(180, 0.6)))
    assert 0.1 <= offset.lead < 0.2
    assert offset.accepted
    assert offset.offset_s == pytest.approx(-clock_s, abs=0.5)


@pytest.mark.parametrize("period_s", [90, 120, 180, 240])
@pytest.mark.parametrize("place", [0.25, 0.5, 0.75, 1.0])
def test_intervals_of_equal_length_set_no_clock_wrong(period_s, place):
    """Each sensor has noise of its own, and one a fault, which may fall out some periods off."""
    ours = repeated(period_s, 0.0, seconds=1200)
    theirs, lasted = ours.copy(), round(0.75 * period_s)
    start = int((ours.size - lasted) * place)
    theirs[start : start + lasted] = 0.0
    offset = found(measured(theirs, noise=0.02, seed=2), measured(ours, noise=0.02, seed=1))
    assert abs(offset.offset_s) <= 2 or not offset.accepted


def test_less_than_ten_minutes_tell_nothing():
    assert found(measured(pace(1)[:500])) is None


def test_channels_that_quarrel_decide_nothing():
    def one(offset_s):
        return ChannelOffset(offset_s, 0.9, 0.5, 0.1, 2000, False)

    assert agreed(iter([])) is None
    assert agreed(iter([one(-26.0), one(-27.5)])) == pytest.approx(-26.75)
    assert agreed(iter([one(3.0), one(9.0)])) is None


def test_parts_that_go_apart_are_told_in_minutes():
    """Of 40 minutes the last 15 are another's."""
    theirs = np.concatenate([pace(1)[:1500], pace(9)[:900]])
    assert speed(measured(theirs, 6.0)).longest_apart_s(-6.0) == 900
    assert speed(measured(pace(1), 6.0)).longest_apart_s(-6.0) == 0
    hardly = Twin("power_w", measured(pace(1)), measured(theirs, 6.0))
    assert hardly.longest_apart_s(-6.0) == 0


def both_of(clock_s, noise, fault=None):
    """Speed and cadence by two devices over intervals of 5 min that are nearly alike; each sensor
    has noise of its own, in shares of a m/s and of 10 steps a min, and a fault is in both."""
    truth = {
        "speed_m_s": repeated(300, 0.3, 1, 2400),
        "cadence_per_min": 150 + 10 * repeated(300, 0.3, 2, 2400),
    }
    for seed, (name, values) in enumerate(truth.items()):
        own = noise if name == "speed_m_s" else 10 * noise
        theirs = values.copy()
        if fault is not None:
            theirs[fault] = theirs[fault.start]
        device = measured(theirs, clock_s, noise=own, seed=2 * seed + 1)
        yield Twin(name, measured(values, noise=own, seed=2 * seed + 2), device)


@pytest.mark.parametrize("clock_s", [0.0, 17.0, -300.0])
def test_two_quantities_that_agree_tell_what_neither_tells_alone(clock_s):
    speed_twin, cadence_twin = both = list(both_of(clock_s, 0.02))
    assert [twin.offset.accepted for twin in both] == [False, False]
    assert accepted_of(both) == both
    assert [twin.offset.offset_s for twin in both] == pytest.approx([-clock_s] * 2, abs=0.5)
    assert accepted_of([speed_twin]) == []
    later = Channel(cadence_twin.theirs.time_s + 2, cadence_twin.theirs.value)
    assert accepted_of([speed_twin, cadence_twin.by(later)]) == []


@pytest.mark.parametrize("start", range(0, 2100, 300))
@pytest.mark.parametrize("lasted", [150, 330])
def test_a_fault_in_both_quantities_sets_no_clock_a_period_wrong(start, lasted):
    both = list(both_of(0.0, 0.02, fault=slice(start, start + lasted)))
    assert all(abs(twin.offset.offset_s) <= 2 for twin in accepted_of(both))
