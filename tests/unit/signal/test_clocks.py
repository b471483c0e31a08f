import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from intakes import recording
from strapline.demo.physiology import wandering
from strapline.ground.records.alignment import Delay
from strapline.ground.records.card import ClockNote
from strapline.ground.settings import Alignment
from strapline.method.episodes.lead import late_aloud
from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.decide import copied, decide, decide_all
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.copies import is_copy
from strapline.method.signal.trace import Trace

START_S = 1_770_000_000.0
SECONDS = np.arange(START_S, START_S + 1500)
RATE = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(1).normal(0, 0.03, SECONDS.size)))
REFERENCE = Trace(SECONDS, RATE)
NOTHING = Trace(SECONDS[:0], RATE[:0])


def entry(name="watch", satellite=False, **note):
    unread = note.pop("unread", 0)
    return recording(name, clock_note=ClockNote(**note), satellite=satellite, unread=unread)


def decided(device, reference=REFERENCE, channels=({}, {}), satellites=(False, False), **given):
    marked_s, note = given.pop("marked_s", None), given.pop("reference_note", {})
    return decide(
        Pair(
            reference=reference,
            device=device,
            reference_entry=entry("strap", satellites[0], **note).model_copy(
                update={"start_assumed": given.pop("start_assumed", False)}
            ),
            entry=entry(satellite=satellites[1], **given),
            reference_channels=channels[0],
            channels=channels[1],
            alignment=Alignment(),
            longest_gap_s=10,
            marked_s=marked_s,
        )
    )


def late(seconds, rate=RATE):
    """A device that shows everything so many seconds late, by its clock or by its sensor."""
    noise = np.random.default_rng(2).normal(0, 0.5, rate.size)
    return Trace(START_S + np.arange(rate.size) + seconds, np.round(rate + noise))


def pace(seconds, clock_s=0.0, seed=3):
    """Speed that changes every half minute or so, by a clock that is so far ahead."""
    chance = np.random.default_rng(seed)
    levels = np.repeat(chance.uniform(1.5, 4.5, 400), chance.integers(10, 60, 400))[:seconds]
    uneven = levels + chance.normal(0, 0.1, seconds)
    return {"speed_m_s": Channel(START_S + np.arange(seconds) + clock_s, uneven)}


@pytest.mark.parametrize("delay_s", [-2.5, 0, 7, 12, 25])
def test_what_a_late_sensor_could_explain_moves_no_clock(delay_s):
    decision = decided(late(delay_s))
    assert (decision.decision, decision.offset_s) == ("refused", 0)
    assert "a late sensor and a wrong clock look alike" in decision.reason


def test_columns_that_nothing_is_known_of_may_tell_a_clock():
    assert "columns were left unread" in decided(late(7), unread=2).reason
    assert "columns" not in decided(late(7)).reason


def test_one_file_has_one_clock():
    files = [recording(name, raw="0123") for name in ("strap", "watch")]
    pair = Pair(REFERENCE, late(7), *files, {}, {}, Alignment(), 10)
    assert (decide(pair).decision, decide(pair).offset_s) == ("trusted", 0)
    assert "from the same file as the reference" in decide(pair).reason


def test_no_card_is_told_what_it_would_refuse():
    far = Trace(SECONDS + 200 * 86_400, RATE)
    reason = decided(far).reason
    assert "share no time" in reason and "offset_s" not in reason
    assert "state clock.starts_at" in reason


def test_where_the_heart_rates_agree_best_is_told_with_its_interval():
    decision = decided(late(7))
    assert decision.estimate_accepted
    assert decision.estimate_s == pytest.approx(-7, abs=0.5)
    assert decision.low_s <= decision.estimate_s <= decision.high_s


def test_a_device_ahead_of_the_heart_has_a_wrong_clock():
    decision = decided(late(-8))
    assert decision.decision == "estimated"
    assert decision.offset_s == pytest.approx(8, abs=0.5)
    assert f"{decision.offset_s} s before the strap, which no sensor can" in decision.reason
    assert "flatters" in decision.reason


def test_a_device_later_than_any_sensor_has_a_wrong_clock():
    decision = decided(late(45))
    assert decision.decision == "estimated"
    assert decision.offset_s == pytest.approx(-45, abs=0.5)
    assert "later than any sensor (at most 30 s)" in decision.reason


@pytest.mark.parametrize(("begins_s", "looks"), [(12, "late"), (-60, "early")])
def test_a_start_that_is_assumed_is_blamed_before_a_clock(begins_s, looks):
    """The device's clock is right and its sensor 4 s late; the strap's start was taken to be so
    much later than it was."""
    decision = decided(late(4 - begins_s), start_assumed=True)
    assert decision.offset_s == pytest.approx(begins_s - 4, abs=0.5)
    assert (
        f"the strap’s start, which is assumed, looks {abs(decision.offset_s):.1f} s too {looks}"
        in (decision.reason)
    )
    assert "its clock is" not in decision.reason
    assert (
        "by its sensor or by the strap’s start"
        in late_aloud(open_to(decided(late(12), start_assumed=True)))[0]
    )


def open_to(decision):
    assert (decision.decision, decision.ground) == ("refused", "")
    return decision.model_copy(update={"delay": Delay(delay_s=12, low_s=10, high_s=14)})


def test_a_trusted_clock_is_not_sure_against_a_start_that_is_assumed():
    told = decided(late(12), trusted=True, start_assumed=True)
    assert (told.decision, told.ground) == ("trusted", "")
    assert "The strap’s start is assumed" in told.reason
    assert decided(late(12), trusted=True).ground == "as the card says"


def test_an_hour_may_be_an_assumed_starts():
    told = decided(late(3604), start_assumed=True)
    assert told.reason.startswith("The device's clock, or the strap’s start, which is assumed, is")


def test_what_both_files_measured_tells_an_assumed_start():
    """Of the strap, or of the device where it has none."""
    channels = (pace(SECONDS.size), pace(SECONDS.size, clock_s=20))
    told = decided(late(24), channels=channels, start_assumed=True)
    assert told.offset_s == pytest.approx(-20, abs=0.5)
    assert "the strap’s start, which is assumed, looks 20" in told.reason
    assert "s too early; it is set right by" in told.reason


@pytest.mark.parametrize("stamped_at_s", [0, 15])
def test_half_of_a_reports_time_is_no_error_of_the_clock(stamped_at_s):
    """Means over 15 s, stamped at their start or at their end."""
    device = Trace(SECONDS[::15] + stamped_at_s, RATE.reshape(-1, 15).mean(axis=1))
    assert decided(device).offset_s == 0


def test_an_error_beyond_that_is_one():
    device = Trace(SECONDS[::15] - 15, RATE.reshape(-1, 15).mean(axis=1))
    assert decided(device).offset_s == pytest.approx(22, abs=1.5)


@pytest.mark.parametrize("hours", [-1, 1, 5.75])
def test_a_clock_wrong_by_quarters_of_an_hour_is_set_right_and_the_delay_is_left(hours):
    decision = decided(late(hours * 3600 + 4))
    assert decision.decision == "estimated"
    assert decision.offset_s == decision.gross_shift_s == -hours * 3600
    assert decision.estimate_s == pytest.approx(-hours * 3600 - 4, abs=0.5)
    assert "as after a mistaken time zone" in decision.reason


def test_another_workout_an_hour_later_is_not_shifted():
    other = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(9).normal(0, 0.03, SECONDS.size)))
    decision = decided(Trace(SECONDS + 3600, other))
    assert (decision.decision, decision.offset_s) == ("refused", 0)
    assert "share no time" in decision.reason


@pytest.mark.parametrize("clock_s", [-40.0, -8.0, 4.0, 25.0, 600.0])
def test_speed_in_both_files_sets_a_clock_right_and_leaves_the_delay(clock_s):
    """A sensor 10 s late on a clock that is off."""
    decision = decided(late(10 + clock_s), channels=(pace(1500), pace(1500, clock_s)))
    assert decision.decision == "channels"
    assert decision.offset_s == pytest.approx(-clock_s, abs=0.5)
    assert decision.estimate_s - decision.offset_s == pytest.approx(-10, abs=0.7)
    assert "By speed in both files" in decision.reason


@pytest.mark.parametrize(
    ("clock_s", "satellites", "moved"),
    [
        (2.0, (False, False), False),
        (4.0, (False, False), True),
        (4.0, (True, False), True),
        (4.0, (True, True), False),
        (7.0, (True, True), True),
    ],
)
def test_what_filters_of_sensors_explain_moves_no_clock(clock_s, satellites, moved):
    channels = pace(1500), pace(1500, clock_s)
    decision = decided(late(10), channels=channels, satellites=satellites)
    assert decision.decision == "channels"
    assert (decision.offset_s != 0) is moved


def test_channels_that_quarrel_decide_nothing():
    ours = pace(1500) | {"power_w": Channel(SECONDS, 60 * pace(1500, seed=4)["speed_m_s"].value)}
    theirs = {
        "speed_m_s": pace(1500, 20.0)["speed_m_s"],
        "power_w": Channel(SECONDS - 20, ours["power_w"].value),
    }
    assert decided(late(10), channels=(ours, theirs)).decision == "refused"


def cadence(spread, seed=6, noise=0.3):
    steps = 80 + spread * gaussian_filter1d(np.random.default_rng(6).normal(size=1500), 6) * 4.6
    uneven = steps + np.random.default_rng(seed).normal(0, noise, 1500)
    return {"cadence_per_min": Channel(SECONDS + (8 if seed > 6 else 0), uneven)}


def test_strides_that_vary_little_but_alike_set_a_clock_right():
    decision = decided(late(12), channels=(cadence(1.5), cadence(1.5, 7)))
    assert decision.decision == "channels"
    assert decision.offset_s == pytest.approx(-8, abs=3)


def test_what_does_not_vary_is_told_as_the_reason():
    steady = decided(late(12), channels=(cadence(0.2, noise=0.05), cadence(0.2, 7, 0.05)))
    assert steady.decision == "refused"
    assert steady.reason.startswith("Cadence in both files hardly varied, so nothing but heart")
    other = decided(late(12), channels=(pace(1500), pace(1500, seed=4) | cadence(1)))
    assert other.reason.startswith("Speed in both files tells no offset, so nothing but heart")
    assert decided(late(12), channels=(pace(1500), cadence(1))).reason.startswith("Nothing but")


def paused(start, pause, length=2700, ahead_s=0, **note):
    """A device that leaves out a pause by its own clock, and the strap beside it."""
    speed = pace(length)["speed_m_s"]
    kept = np.r_[0:start, start + pause : length]
    theirs = {"speed_m_s": Channel(START_S + ahead_s + np.arange(kept.size), speed.value[kept])}
    rate = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(1).normal(0, 0.03, length)))
    reference = Trace(START_S + np.arange(length), rate)
    device = late(0, rate[kept]).shifted(ahead_s)
    channels = {"speed_m_s": speed}, theirs
    return (
        device,
        kept,
        decided(device, reference, channels=channels, **note),
    )


@pytest.mark.parametrize("pause", [20, 120, 200])
def test_a_pause_left_out_is_set_right_on_both_sides(pause):
    device, true_s, decision = paused(1200, pause)
    placed = device.time_s + decision.offsets(device.time_s)
    known = np.isfinite(placed)
    assert np.abs(placed - START_S - true_s)[known].max() <= 1
    assert decision.decision == "channels"
    assert known.mean() > 0.97
    assert "as where a file leaves pauses out: 2 parts of it are set right" in decision.reason
    assert "what lies between is left out" in decision.reason


def test_a_pause_near_the_end_that_heart_rate_tells_is_set_right_as_far_as_speed_agrees():
    """What comes after it is too short for speed to tell an offset of its own."""
    device, true_s, decision = paused(2150, 150, ahead_s=8)
    placed = device.time_s + decision.offsets(device.time_s) - START_S
    known = np.isfinite(placed)
    assert np.abs(placed - true_s)[known].max() <= 1
    assert known[-200:].all()
    assert (decision.decision, decision.within_s) == ("channels", 3)


def line_of(decision):
    """What the closing lines say that the card may say."""
    return re.search(r"If you paused it there, state (.*) in session.yaml", decision.reason)[1]


@pytest.mark.parametrize("ahead_s", [0, 8])
def test_the_line_for_the_card_puts_the_pause_back_and_leaves_the_clock_as_sure(ahead_s):
    device, true_s, found = paused(1200, 120, ahead_s=ahead_s)
    line = line_of(found)
    assert line.endswith("under the device's clock")
    assert ("offset_s: -8" in line) == bool(ahead_s)
    ((at, lasted),) = re.findall(r"\{at: ([\d:]+), lasted: ([\d:]+)\}", line)
    pauses = [{"at": at, "lasted": lasted}]
    _, _, stated = paused(1200, 120, ahead_s=ahead_s, pauses=pauses)
    placed = device.time_s + stated.offsets(device.time_s)
    known = np.isfinite(placed)
    assert np.abs(placed - START_S - true_s)[known].max() <= 1
    assert (stated.decision, stated.within_s) == ("stated", 3)
    assert stated.ground == "right to within 3 s, by speed"


def test_a_pause_of_a_few_seconds_is_no_drift():
    """One of the two records every 5 s, so that ten minutes lie on a line as well as on a step."""
    length, chance = 4700, np.random.default_rng(1)
    speed, second = 3 + wandering(length, 0.4, 30, chance), np.arange(length)
    kept = second[(second < 2400) | (second >= 2407)]
    noisy = [speed + chance.normal(0, 0.1, length) for _ in range(2)]
    ours = {"speed_m_s": Channel(START_S + second[::5], noisy[0][::5])}
    device = Trace(START_S + np.arange(kept.size), np.full(kept.size, 130.0))
    theirs = {"speed_m_s": Channel(device.time_s, noisy[1][kept])}
    flat = Trace(START_S + second, np.full(length, 130.0))
    decision = decided(device, flat, channels=(ours, theirs))
    offsets = decision.offsets(device.time_s)
    assert decision.drift_per_hour_s == 0
    assert offsets[[0, -1]] == pytest.approx([0, 7], abs=2)


def test_seconds_about_the_pause_are_not_known_and_no_others():
    _, _, decision = paused(1200, 120)
    unknown = decision.unknown(START_S + np.arange(2700))
    assert unknown[1200:1320].all()
    assert not unknown[:1150].any() and not unknown[1370:].any()


def test_what_comes_before_the_first_part_that_tells_its_offset_is_not_known():
    """For 700 s the two files tell nothing in common; then a pause of 120 s is left out."""
    length, start, pause = 4200, 2400, 120
    speed, other = pace(length)["speed_m_s"], pace(length, seed=8)["speed_m_s"]
    mixed = np.r_[other.value[:700], speed.value[700:]]
    kept = np.r_[0:start, start + pause : length]
    theirs = {"speed_m_s": Channel(START_S + np.arange(kept.size), mixed[kept])}
    flat = Trace(speed.time_s, np.full(length, 130.0))
    device = Trace(START_S + np.arange(kept.size), np.full(kept.size, 130.0))
    decision = decided(device, flat, channels=({"speed_m_s": speed}, theirs))
    offsets = decision.offsets(device.time_s)
    assert len(decision.pieces) == 2
    assert "what lies before and between is left out" in decision.reason
    assert np.isnan(offsets[:500]).all()
    assert np.isfinite(offsets[1000:2300]).all() and np.isfinite(offsets[2500:]).all()


@pytest.mark.parametrize(("period", "kept"), [(180, 1400), (230, 1400), (240, 1566)])
def test_a_file_that_ends_early_in_a_session_that_repeats_itself_has_no_jump(period, kept):
    """Near its end it would fit the repeat before as well."""
    length, chance = 2700, np.random.default_rng(4)
    repeats = np.where(np.arange(length) % period < period / 2, 4.2, 2.0)
    noisy = repeats + np.linspace(0, 0.6, length) + chance.normal(0, 0.1, length)
    noisy[:600] = 2.6
    speed = Channel(START_S + np.arange(length), noisy)
    theirs = Channel(speed.time_s[:kept], noisy[:kept] + chance.normal(0, 0.1, kept))
    flat = Trace(speed.time_s, np.full(length, 130.0))
    device = Trace(flat.time_s[:kept], flat.rate[:kept])
    decision = decided(device, flat, channels=({"speed_m_s": speed}, {"speed_m_s": theirs}))
    assert decision.decision != "stepping"
    assert decision.pieces == () and decision.offset_s == 0


def test_taking_the_delay_out_moves_every_part():
    device, _, decision = paused(1200, 120)
    delay = Delay(delay_s=7, low_s=6, high_s=8)
    late = decision.model_copy(update={"delay": delay})
    moved = late.in_view("delay_out").offsets(device.time_s) - late.offsets(device.time_s)
    assert np.unique(np.round(moved[np.isfinite(moved)], 6)).tolist() == [-7]


def test_a_part_too_short_to_tell_its_clock_is_left_out():
    device, _, decision = paused(1970, 120)
    assert decision.decision == "channels"
    assert "one part of it is set right" in decision.reason
    assert "what lies after is left out" in decision.reason
    assert np.isfinite(decision.offsets(device.time_s[:1950])).all()
    assert np.isnan(decision.offsets(device.time_s[1980:])).all()


def test_a_clock_whose_parts_tell_nothing_is_no_evidence():
    speed, other = pace(2700)["speed_m_s"], pace(2700, seed=5)["speed_m_s"]
    mixed = Channel(speed.time_s, np.r_[speed.value[:1950], other.value[1950:]])
    reference = Trace(speed.time_s, np.full(2700, 130.0))
    channels = {"speed_m_s": speed}, {"speed_m_s": mixed}
    decision = decided(reference, reference, channels=channels)
    assert (decision.decision, decision.offset_s) == ("stepping", 0)
    assert "leaves pauses out" in decision.reason


def test_a_drift_that_speed_tells_is_set_right_and_leaves_the_delay():
    """A sensor 6 s late on a clock that gains 12 s an hour."""
    length = 2 * 3600
    speed = pace(length)["speed_m_s"]
    rate = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(5).normal(0, 0.03, length)))
    gained = 12 * np.arange(length) / 3600
    theirs = Channel(speed.time_s + gained, speed.value)
    device = Trace(late(6, rate).time_s + gained, late(6, rate).rate)
    reference = Trace(START_S + np.arange(length), rate)
    decision = decided(device, reference, channels=({"speed_m_s": speed}, {"speed_m_s": theirs}))
    assert decision.decision == "channels"
    assert decision.drift_per_hour_s == pytest.approx(-12, abs=0.5)
    assert np.abs(decision.offsets(device.time_s) + gained).max() < 1
    assert decision.offset_s - decision.estimate_s == pytest.approx(6, abs=0.5)


@pytest.mark.parametrize("gains", [-15, 15, 0])
def test_a_drift_is_told_where_ten_minutes_at_a_time_tell_too_little(gains):
    """Both record speed every 5 s only, with much noise, for 40 minutes."""
    length, chance = 2400, np.random.default_rng(3)
    speed = pace(length)["speed_m_s"]
    second = np.arange(0, length, 5)
    ours, theirs = (
        Channel(START_S + second, speed.value[second] + chance.normal(0, 0.7, second.size))
        for _ in range(2)
    )
    gained = gains * np.arange(length) / 3600
    theirs = Channel(theirs.time_s + gained[second], theirs.value)
    flat = Trace(speed.time_s, np.full(length, 130.0))
    device = Trace(flat.time_s + gained, flat.rate)
    decision = decided(device, flat, channels=({"speed_m_s": ours}, {"speed_m_s": theirs}))
    assert decision.decision == "channels"
    assert np.abs(decision.offsets(device.time_s) + gained).max() <= 2
    assert bool(decision.drift_per_hour_s) == bool(gains)


def test_satellites_in_both_files_hold_a_clock_against_the_heart_rates():
    decision = decided(late(-8), satellites=(True, True))
    assert (decision.decision, decision.offset_s, decision.within_s) == ("satellites", 0, 5)
    assert decided(late(-8), satellites=(True, False)).decision == "estimated"


def test_satellites_hold_no_clock_of_another_day():
    decision = decided(late(24 * 3600.0), satellites=(True, True))
    assert decision.decision == "estimated"
    assert decision.gross_shift_s == -24 * 3600


def test_the_card_goes_before_any_evidence():
    channels = pace(1500), pace(1500, 25.0)
    assert decided(late(7), channels=channels, trusted=True).decision == "trusted"
    stated = decided(late(7), channels=channels, offset_s=3, reference_note={"offset_s": 1})
    assert (stated.decision, stated.offset_s) == ("stated", 2)
    marked = decided(late(7), channels=channels, marked_s=-6.5)
    assert (marked.decision, marked.offset_s) == ("stated", -6.5)
    assert "marked in both files meets after shifting by −6.5 s" in marked.reason


def test_what_tells_nothing_is_refused_with_the_reason():
    nothing = decided(NOTHING)
    assert (nothing.decision, nothing.reason) == ("refused", "None of its readings can be used.")
    assert "only every 60 s" in decided(Trace(SECONDS[::60], RATE[::60])).reason
    assert decided(Trace(SECONDS, np.full(SECONDS.size, 90.0))).decision == "refused"
    assert "believed" in decided(late(3), NOTHING).reason


def drifting(gains_per_hour):
    """A device whose clock gains; its true offset at a second of the reference's clock."""
    length = 3 * 3600
    rate = 130 + 25 * np.sin(np.cumsum(np.random.default_rng(5).normal(0, 0.03, length)))
    gained = gains_per_hour * np.arange(length) / 3600
    device = Trace(late(0, rate).time_s + gained, late(0, rate).rate)
    decision = decided(device, Trace(START_S + np.arange(length), rate))
    return decision, decision.offsets(device.time_s) + gained


def test_a_drift_is_corrected_second_by_second():
    decision, left = drifting(4)
    # Within a third of the session the drift smears what is to be matched.
    assert decision.drift_per_hour_s == pytest.approx(-4, abs=0.8)
    assert np.abs(left).max() < 1.5
    assert "drift" in decision.reason


def test_a_drift_as_small_as_a_sensors_is_left():
    decision, _ = drifting(0.5)
    assert (decision.decision, decision.drift_per_hour_s) == ("refused", 0)


def test_a_copy_of_the_strap_is_no_evidence():
    (pair,) = pairs_of(entry("watch"))
    decision = copied(pair)
    assert (decision.decision, decision.offset_s) == ("copy", 0)
    assert "watch seems to have recorded the strap's signal" in decision.reason


def test_an_averaged_copy_is_told_where_the_heart_rates_agree_best():
    """The strap's signal in a file whose clock is 20 s off, averaged over 5 s."""
    strap = np.round(RATE + np.random.default_rng(4).normal(0, 1, RATE.size))
    mean = np.convolve(np.pad(strap, (4, 0), "edge"), np.full(5, 0.2), "valid")
    device = Trace(SECONDS + 20, np.round(mean))
    decision = decided(device, Trace(SECONDS, strap))
    assert not is_copy(Trace(SECONDS, strap), device, 10)
    assert is_copy(Trace(SECONDS, strap), device.shifted(decision.estimate_s), 10)


def pairs_of(*entries, reference_from=None):
    """Devices 10 s late, the first with speed that puts its clock 25 s ahead."""
    reference = entry("strap").model_copy(update={"time_from": reference_from})
    return [
        Pair(
            reference=REFERENCE,
            device=late(10 + (25 if place == 0 else 0)),
            reference_entry=reference,
            entry=one,
            reference_channels=pace(1500),
            channels=pace(1500, 25.0) if place == 0 else {},
            alignment=Alignment(),
            longest_gap_s=10,
        )
        for place, one in enumerate(entries)
    ]


def timed(name, source):
    return entry(name).model_copy(update={"time_from": source})


def test_a_device_with_the_same_source_of_time_settles_another():
    first, second = decide_all(pairs_of(timed("a", "phone"), timed("b", "phone")))
    assert (first.decision, second.decision) == ("channels", "bench")
    assert (first.within_s, second.within_s) == (3, 3)
    assert second.offset_s == first.offset_s
    assert "Its clock and that of a are set by the same phone" in second.reason


@pytest.mark.parametrize("source", [None, "own", "satellite"])
def test_another_source_settles_nothing(source):
    _, second = decide_all(pairs_of(timed("a", "phone"), timed("b", source)))
    assert second.decision == "refused"


def test_two_devices_that_set_their_clocks_alone_settle_nothing():
    _, second = decide_all(pairs_of(timed("a", "own"), timed("b", "own"), reference_from="own"))
    assert second.decision == "refused"


def test_the_straps_own_source_holds_a_clock_as_it_is():
    _, second = decide_all(pairs_of(timed("a", "own"), timed("b", "phone"), reference_from="phone"))
    assert (second.decision, second.offset_s) == ("bench", 0)
    assert second.offset_s - second.estimate_s == pytest.approx(10, abs=0.7)


def test_a_strap_whose_start_is_assumed_holds_no_clock():
    own = pairs_of(timed("a", "own"), timed("b", "phone"), reference_from="phone")
    reference = own[0].reference_entry.model_copy(update={"start_assumed": True})
    _, second = decide_all([replace(pair, reference_entry=reference) for pair in own])
    assert second.decision != "bench"


def test_own_evidence_goes_before_the_benchs():
    first, _ = decide_all(
        pairs_of(timed("a", "phone"), timed("b", "phone"), reference_from="phone")
    )
    assert first.decision == "channels"


def test_a_coarse_offset_is_refined_by_what_both_files_measured():
    channels = pace(1500), pace(1500, 3625.0)
    exact = decided(late(3635), channels=channels, offset_s=-3600)
    assert (exact.decision, exact.offset_s) == ("stated", -3600)
    about = decided(late(3635), channels=channels, offset_s=-3600, about=True)
    assert about.decision == "channels"
    assert about.offset_s == pytest.approx(-3625, abs=0.5)
    far = decided(late(3635), channels=channels, offset_s=-7200, about=True)
    assert (far.decision, far.offset_s) == ("stated", -7200)
    alone = decided(late(3635), offset_s=-3600, about=True)
    assert (alone.decision, alone.offset_s) == ("stated", -3600)
    assert "about −3600.0 s" in alone.reason
    # What is left may be the clock's as well as the sensor's.
    assert (exact.ground, alone.ground) == ("as the card says", "")
