import numpy as np
import pytest

from intakes import recording
from strapline.ground.records.card import ClockNote
from strapline.ground.settings import Alignment
from strapline.method.signal.clock_decision import decide
from strapline.method.signal.trace import Trace

SECONDS = np.arange(1_770_000_000.0, 1_770_001_500)
RATE = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(1).normal(0, 0.03, SECONDS.size)))
REFERENCE = Trace(SECONDS, RATE)


def entry(name="watch", **note):
    return recording(name, clock_note=ClockNote(**note))


def decided(device, reference_note=None, **note):
    reference_entry = entry("strap", **(reference_note or {}))
    return decide(REFERENCE, device, reference_entry, entry(**note), Alignment(), 10)


def late(seconds):
    noise = np.random.default_rng(2).normal(0, 0.5, RATE.size)
    return Trace(SECONDS + seconds, np.round(RATE + noise))


def test_an_offset_is_estimated_and_told_with_its_interval():
    decision = decided(late(7))
    assert (decision.decision, decision.gross_shift_s) == ("estimated", 0)
    assert decision.offset_s == pytest.approx(-7, abs=0.5)
    assert decision.low_s <= decision.offset_s <= decision.high_s
    assert f"after shifting by −{-decision.offset_s:.1f} s" in decision.reason


@pytest.mark.parametrize("hours", [-1, 1, 5.75])
def test_a_clock_wrong_by_quarters_of_an_hour_is_set_right(hours):
    decision = decided(late(hours * 3600 + 4))
    assert decision.decision == "estimated"
    assert decision.gross_shift_s == -hours * 3600
    assert decision.offset_s == pytest.approx(-hours * 3600 - 4, abs=0.5)
    assert "as after a mistaken time zone" in decision.reason


def test_another_workout_an_hour_later_is_not_shifted():
    other = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(9).normal(0, 0.03, SECONDS.size)))
    decision = decided(Trace(SECONDS + 3600, other))
    assert (decision.decision, decision.offset_s) == ("refused", 0)
    assert "share no time" in decision.reason


def test_the_card_goes_before_any_estimate():
    assert decided(late(7), trusted=True).decision == "trusted"
    stated = decided(late(7), offset_s=3, reference_note={"offset_s": 1})
    assert (stated.decision, stated.offset_s) == ("stated", 2)


def test_what_tells_nothing_is_refused_with_the_reason():
    nothing = decided(Trace(SECONDS[:0], RATE[:0]))
    assert (nothing.decision, nothing.reason) == ("refused", "None of its readings can be used.")
    assert "only every 60 s" in decided(Trace(SECONDS[::60], RATE[::60])).reason
    assert decided(Trace(SECONDS, np.full(SECONDS.size, 90.0))).decision == "refused"


def long_workout(seconds):
    steps = np.random.default_rng(5).normal(0, 0.03, seconds)
    return 130 + 25 * np.sin(np.cumsum(steps))


def drifting(gains_per_hour, hour_off=0):
    """A device whose clock gains; its true offset at a second of the reference's clock."""
    length = 3 * 3600
    times = np.arange(1_770_000_000.0, 1_770_000_000.0 + length)
    rate = long_workout(length)
    gained = 4 + gains_per_hour * np.arange(length) / 3600
    noise = np.random.default_rng(6).normal(0, 0.5, length)
    device = Trace(times + gained + hour_off, np.round(rate + noise))
    decision = decide(Trace(times, rate), device, entry("strap"), entry(), Alignment(), 10)
    return decision, decision.offsets(device.time_s) + gained + hour_off


@pytest.mark.parametrize("hour_off", [0, 3600])
def test_a_drift_is_corrected_second_by_second(hour_off):
    decision, left = drifting(4, hour_off)
    # Within a third of the session the drift smears what is to be matched.
    assert decision.drift_per_hour_s == pytest.approx(-4, abs=0.8)
    assert np.abs(left).max() < 1.5
    assert "drift" in decision.reason


def test_without_a_drift_none_is_corrected_and_that_is_said():
    decision, left = drifting(0)
    assert decision.drift_per_hour_s == 0
    assert np.abs(left).max() < 1
    assert "No drift" in decision.reason


def test_a_reference_that_is_not_believed_tells_no_offset():
    nothing = Trace(SECONDS[:0], RATE[:0])
    decision = decide(nothing, late(3), entry("strap"), entry(), Alignment(), 10)
    assert (decision.decision, decision.offset_s) == ("refused", 0)


def test_a_shared_moment_goes_before_an_estimate():
    decision = decide(REFERENCE, late(7), entry("strap"), entry(), Alignment(), 10, -6.5)
    assert (decision.decision, decision.offset_s) == ("stated", -6.5)
    assert "marked in both files meets after shifting by −6.5 s" in decision.reason
