"""Pauses that a file leaves out and that nothing but heart rate tells."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from intakes import recording, strap
from strapline.demo.physiology import first_order
from strapline.ground.records.card import ClockNote
from strapline.ground.settings import Alignment
from strapline.method.signal.clocks.decide import decide
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.trace import Trace

START_S, LENGTH, LATE_S = 1_770_000_000.0, 2700, 5
SECOND = np.arange(LENGTH)
CHANCE = np.random.default_rng(1)
WAVES = gaussian_filter1d(CHANCE.normal(size=LENGTH), 20)
RATE = 130 + 20 * np.sin(np.cumsum(CHANCE.normal(0, 0.03, LENGTH))) + 5 * WAVES / WAVES.std()
REFERENCE = Trace(START_S + SECOND, RATE)
# A sensor that is late, noisy, and at a loss for two minutes.
SHOWN = np.roll(RATE, LATE_S) + np.random.default_rng(2).normal(0, 0.7, LENGTH)
SHOWN[400:520] -= 30


def with_pauses(*pauses, end=LENGTH):
    """The device's file without these pauses, and the second of the session of each value."""
    kept = SECOND[:end]
    for start, length in pauses:
        kept = kept[(kept < start) | (kept >= start + length)]
    return Trace(START_S + np.arange(kept.size), np.round(SHOWN[kept])), kept


def decided(device, reference=REFERENCE, note=None, of_strap=None):
    entries = strap(clock_note=of_strap or ClockNote()), recording(clock_note=note or ClockNote())
    return decide(Pair(reference, device, *entries, {}, {}, Alignment(), 10))


@pytest.mark.parametrize("pauses", [[(1300, 190)], [(1500, 20)], [(800, 60), (1900, 90)]])
def test_a_pause_is_told_by_a_jump_and_a_file_that_is_shorter_by_as_much(pauses):
    device, true_s = with_pauses(*pauses)
    decision = decided(device)
    placed = device.time_s + decision.offsets(device.time_s) - START_S
    known = np.isfinite(placed)
    assert decision.decision == "estimated"
    assert np.abs(placed - true_s)[known].max() <= 1
    assert known.mean() > 0.9


def test_the_sentence_tells_the_pause_and_the_line_for_the_card():
    device, _ = with_pauses((760, 190))
    reason = decided(device).reason
    assert "The device's file is 3 min 10 s shorter than the strap's" in reason
    assert "3 min 10 s later from 12:" in reason
    at = reason.split("{at: ")[1].split(",")[0]
    assert f"pauses: [{{at: {at}, lasted: 3:10}}] under the device's clock" in reason
    minutes, seconds = map(int, at.split(":"))
    assert 60 * minutes + seconds == pytest.approx(760, abs=15)


@pytest.mark.parametrize("end", [LENGTH - 20, LENGTH - 120, LENGTH - 600])
def test_a_device_stopped_early_left_no_pause_out(end):
    decision = decided(with_pauses(end=end)[0])
    assert (decision.decision, decision.offset_s, decision.pieces) == ("refused", 0, ())


@pytest.mark.parametrize("period", [120, 180, 210])
def test_a_device_stopped_one_repeat_early_left_no_pause_out(period):
    """Repeats that are alike fit each other as well, but the last of them is no pause."""
    hard = (SECOND % period < period / 2) & (SECOND > 200)
    rate = gaussian_filter1d(110 + 50.0 * hard, 15) + WAVES
    device = Trace(START_S + SECOND[:-period], np.round(np.roll(rate, LATE_S))[:-period])
    decision = decided(device, Trace(START_S + SECOND, rate))
    assert (decision.offset_s, decision.pieces) == (0, ())


@pytest.mark.parametrize("period", [120, 150])
@pytest.mark.parametrize("since", [1200, 1500])
def test_a_sensor_that_is_late_from_some_moment_on_left_no_pause_out(period, since):
    """Of equal repeats the next one fits as well, and the file is one repeat shorter."""
    hard = (SECOND % period < 0.45 * period) & (SECOND > 200)
    rate = gaussian_filter1d(110 + 50.0 * hard, 15)
    shown = np.where(since > SECOND, first_order(rate, 2, 2), first_order(rate, 20, 20))
    device = Trace(START_S + SECOND[:-period], np.round(shown)[:-period])
    decision = decided(device, Trace(START_S + SECOND, np.round(rate)))
    assert (decision.offset_s, decision.pieces) == (0, ())


def test_a_jump_alone_is_no_pause():
    """The device's file goes on for as long as the pause, so it is no shorter."""
    device, _ = with_pauses((1300, 190))
    longer = Trace(
        np.append(device.time_s, device.time_s[-1] + np.arange(1, 191)),
        np.append(device.rate, np.full(190, 90.0)),
    )
    assert decided(longer).pieces == ()


def test_a_pause_that_the_straps_file_leaves_out_is_told_as_its():
    shorter, true_s = with_pauses((1300, 90))
    reference = Trace(shorter.time_s, RATE[true_s])
    device = Trace(START_S + SECOND, np.round(SHOWN))
    decision = decided(device, reference)
    assert "The strap's file is 1 min 30 s shorter than the device's" in decision.reason
    assert "under the strap's clock" in decision.reason
    offsets = decision.offsets(device.time_s)
    assert (offsets[:1200] == 0).all() and (offsets[1480:] == -90).all()


def test_the_card_may_state_pauses_of_either_file():
    device, true_s = with_pauses((760, 190), (1800, 60))
    note = ClockNote.model_validate(
        {"pauses": [{"at": "12:40", "lasted": "3:10"}, {"at": 1610, "lasted": 60}]}
    )
    decision = decided(device, note=note)
    placed = device.time_s + decision.offsets(device.time_s) - START_S
    known = np.isfinite(placed)
    assert (decision.decision, decision.ground) == ("stated", "")
    assert "states 2 pauses left out" in decision.reason
    assert (placed == true_s)[known].all()
    assert np.count_nonzero(~known) == 60
    of_strap = ClockNote.model_validate({"offset_s": 2, "pauses": [{"at": 1300, "lasted": 90}]})
    moved = decided(Trace(START_S + SECOND, SHOWN), of_strap=of_strap).offsets(START_S + SECOND)
    assert (moved[:1200] == -2).all() and (moved[1420:] == -92).all()


def test_a_pause_needs_a_length():
    with pytest.raises(ValueError, match="greater than 0"):
        ClockNote.model_validate({"pauses": [{"at": 10, "lasted": 0}]})
