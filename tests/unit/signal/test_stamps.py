"""Means of a known heart rate, stamped at the start, in the middle and at the end of their time."""

import numpy as np
import pytest

from intakes import recording, strap
from strapline.ground.settings import Alignment
from strapline.method.signal.clocks.decide import settle_all
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.trace import Trace, paired
from unit.signal.invented import workout

START_S = 1_770_000_000.0
SECONDS = np.arange(START_S, START_S + 2400)
PLACES = {"start": 1.0, "middle": 0.5, "end": 0.0}


def means(every_s, stamp, late_s=0, seed=1):
    """Of a sensor that is so late; each mean is stamped so much before the end of its time."""
    rate = np.roll(workout(2400, seed), late_s)
    noise = np.random.default_rng(2).normal(0, 0.7, 2400 // every_s)
    ends = START_S + every_s * np.arange(1, 2400 // every_s + 1)
    rates = np.round(rate.reshape(-1, every_s).mean(1) + noise)
    return Trace(ends - PLACES[stamp] * every_s, rates)


def settled(device, trusted=False, **facts):
    known = recording(**facts)
    note = known.clock_note.model_copy(update={"trusted": trusted})
    known = known.model_copy(update={"clock_note": note})
    reference = Trace(SECONDS, workout(2400, 1))
    pair = Pair(reference, device, strap(), known, {}, {}, Alignment(), 10)
    return settle_all([pair])[0]


def error_bpm(pair, clock):
    device = pair.device.shifted(clock.offsets(pair.device.time_s))
    sides = paired(pair.reference, device, SECONDS, 10)
    return float(np.nanmean(np.abs(sides.device - sides.reference)))


@pytest.mark.parametrize("trusted", [False, True])
@pytest.mark.parametrize("late_s", [0, 5])
@pytest.mark.parametrize("stamp", ["start", "middle", "end"])
def test_means_over_a_minute_are_compared_with_their_own_minute(stamp, late_s, trusted):
    device = means(60, stamp, late_s)
    pair, clock = settled(device, trusted)
    assert clock.stamp_shift_s == 60 * PLACES[stamp]
    assert clock.offset_s == 0
    assert error_bpm(pair, clock) < 1 + 0.5 * late_s
    place = {"start": "after", "middle": "around", "end": "before"}[stamp]
    assert f"By the strap, each of its reports stands for the 60 s {place} its time" in clock.reason


@pytest.mark.parametrize("late_s", [0, 3])
def test_means_over_15_s_that_are_ahead_of_the_strap_are_stamped_at_their_start(late_s):
    pair, clock = settled(means(15, "start", late_s), trusted=True)
    assert (clock.offset_s, clock.stamp_shift_s) == (0, 7.5)
    assert error_bpm(pair, clock) < 2 + 0.6 * late_s
    assert "each of its reports stands for the 15 s after its time" in clock.reason


def test_no_clock_is_moved_for_the_half_of_a_report():
    _, clock = settled(means(15, "start"))
    assert (clock.decision, clock.offset_s, clock.stamp_shift_s) == ("refused", 0, 7.5)


@pytest.mark.parametrize("stamp", ["middle", "end"])
def test_a_line_is_drawn_through_what_may_be_a_late_sensor_as_it_stands(stamp):
    _, clock = settled(means(15, stamp), trusted=True)
    assert clock.stamp_shift_s == 0
    assert "stands for" not in clock.reason


def test_what_nothing_tells_is_said():
    flat = Trace(START_S + np.arange(60.0, 2401, 60), np.full(40, 130.0))
    _, clock = settled(flat)
    assert clock.stamp_shift_s == 0
    assert "taken for the 60 s before its time, as nothing tells" in clock.reason
    assert "state stamp: start or middle beside its file in session.yaml" in clock.reason


@pytest.mark.parametrize(
    ("every_s", "stamp", "shift_s"),
    [(60, "start", 60), (60, "middle", 30), (60, "end", 0), (15, "start", 7.5), (15, "end", -7.5)],
)
def test_a_stated_place_is_taken_whatever_the_strap_says(every_s, stamp, shift_s):
    pair, clock = settled(means(every_s, stamp), trusted=True, stamp=stamp)
    assert clock.stamp_shift_s == shift_s
    assert error_bpm(pair, clock) < 2
    _, against = settled(means(every_s, "end"), stamp=stamp)
    assert against.stamp_shift_s == shift_s
    assert "As is stated, each of its reports stands for" in against.reason


def test_reports_of_moments_stand_for_no_time():
    moments = Trace(SECONDS[59::60], workout(2400, 1)[59::60])
    pair, clock = settled(moments)
    assert pair.device.of_moments and clock.stamp_shift_s == 0
    assert "are taken for moments" in clock.reason
    assert error_bpm(pair, clock) < 0.1


def test_reports_of_changes_alone_are_left_as_stamped():
    rate = np.round(workout(2400, 1))
    changes = np.flatnonzero(np.abs(np.diff(rate // 9, prepend=0)) > 0)
    _, clock = settled(Trace(SECONDS[changes] - 5, rate[changes]), trusted=True)
    assert clock.stamp_shift_s == 0


@pytest.mark.parametrize("seed", [2, 13, 32])
def test_another_heart_tells_no_place(seed):
    _, clock = settled(means(60, "end", seed=seed))
    assert clock.stamp_shift_s == 0 and "as nothing tells" in clock.reason


def test_a_place_is_told_also_by_a_clock_that_is_an_hour_off():
    device = means(15, "start").shifted(3600)
    _, clock = settled(device)
    assert (clock.gross_shift_s, clock.stamp_shift_s) == (-3600, 7.5)
