import numpy as np
import pytest

from strapline.ground.records.alignment import Alone, ClockDecision, Piece
from strapline.ground.records.card import Exclusion
from strapline.ground.settings import Reference
from strapline.ground.tables.recordings import NORMALISED
from strapline.method.signal.comparison import compare
from strapline.method.signal.grid import times_of
from strapline.method.signal.reference_pair import beside
from strapline.method.signal.reference_trial import doubting, supported, try_reference
from strapline.method.signal.trace import Trace
from unit.signal.test_clocks import entry

START = 1_770_000_000.0
CLOCK = ClockDecision(recording="watch", offset_s=0, decision="trusted", reason="")
NAMES = {"recording": "watch", "device": "watch", "alignment": "settled"}


def normalised(rate, share=None):
    rate = np.asarray(rate, dtype=float)
    return NORMALISED.frame(
        {
            "recording": np.full(rate.size, "strap", dtype=object),
            "ordinal": np.arange(rate.size),
            "time": times_of(START + np.arange(rate.size)),
            "heart_rate_bpm": rate,
            "flag": np.where(np.isnan(rate), "no_value", "kept"),
            "artefact_share": share if share is not None else np.full(rate.size, np.nan),
        }
    )


def wavy(length=600):
    return np.round(120 + 20 * np.sin(np.arange(length) / 40), 1)


def tried(rate, exclude=(), share=None):
    return try_reference(normalised(rate, share), exclude, 10, Reference())


def compared(trial, device, exclude=()):
    trace = Trace(START + np.arange(device.size), device)
    return compare(trial, trace, NAMES, exclude, 10, CLOCK).set_index("status")


def stuck():
    rate = wavy()
    rate[100:200] = rate[100]
    return rate


def test_doubtful_seconds_are_not_compared_and_say_why():
    trial = tried(stuck())
    assert (trial.reasons[100:200] == "reference_flat").all()
    assert trial.reasons[:95].tolist() == [""] * 95
    rows = compared(trial, wavy() + 3)
    assert (rows.loc["reference_flat", "reference_bpm"] == stuck()[100]).all()
    difference = rows.loc["compared", "device_bpm"] - rows.loc["compared", "reference_bpm"]
    assert difference.to_numpy() == pytest.approx(3)
    assert len(rows) == 600


def test_artefacts_among_beats_make_seconds_doubtful():
    share = np.zeros(600)
    share[300:330] = 0.5
    trial = tried(wavy(), share=share)
    assert trial.verdict.doubtful == {"reference_artefacts": 30}
    assert trial.believed.time_s.size == 570


def away(start, end):
    return Alone(start_s=start, end_s=end, away_bpm=45.0, spread_bpm=2.0)


def test_a_doubt_reaches_as_far_as_devices_agree_against_the_reference():
    """From 100 to 200 it is stuck: four in ten of the first stretch, none of the second."""
    trial = tried(stuck())
    apart = supported(trial, [away(60, 310), away(400, 500)])
    assert [one.doubted for one in apart] == [True, False]
    wider = doubting(trial, apart, (), Reference())
    own = {"reference_flat": 100, "reference_step": 3}
    assert wider.verdict.doubtful == own | {"reference_alone": 147}
    assert (wider.reasons[400:500] == "").all() and wider.believed.time_s.size == 350
    assert doubting(trial, apart[1:], (), Reference()) is trial


def test_what_the_card_excludes_is_not_held_against_the_reference():
    rate = wavy()
    rate[0:300] = np.nan
    rate[0] = 100
    assert tried(rate).verdict.set_aside
    span = Exclusion.model_validate({"from": 0, "to": 300, "reason": "strap dry"})
    found = tried(rate, [span])
    assert (found.verdict.seconds, found.verdict.set_aside) == (300, False)


def by_minute(spoilt):
    """A second minute in which the reference is far too high for a while, and the third."""
    rate = wavy()
    rate[spoilt] = 200
    trial = tried(rate)
    reports = Trace(START + np.arange(60, 600, 60.0), np.full(9, 120.0))
    rows = compare(trial, reports, NAMES, (), 10, CLOCK).set_index("time")
    second, third = (rows.loc[times_of(np.array([START + s]))[0]] for s in (120, 180))
    believed = trial.reasons[61:121] == ""
    return second, third, rate[61:121][believed].mean(), rate[121:181].mean()


def test_a_report_a_minute_is_compared_with_what_is_believed_of_the_minute():
    second, third, believed, untouched = by_minute(slice(70, 85))
    assert second["status"] == third["status"] == "compared"
    assert second["reference_bpm"] == pytest.approx(believed)
    assert third["reference_bpm"] == pytest.approx(untouched)


def test_a_minute_of_which_less_than_half_is_believed_is_not_compared():
    second, third, *_ = by_minute(slice(70, 100))
    assert (second["status"], third["status"]) == ("no_reference", "compared")


def test_a_reference_that_reports_once_a_minute_is_taken_at_its_word():
    rows = normalised(wavy(1200)).iloc[::60].reset_index(drop=True)
    trial = try_reference(rows, (), 10, Reference())
    assert not trial.verdict.set_aside
    assert "only every 60 s" in trial.verdict.sentence


@pytest.mark.parametrize(("first", "second", "faulty"), [(0, 1, "second"), (1, 0, "first")])
def test_two_references_and_which_is_the_faulty_one(first, second, faulty):
    both = [tried(wavy()), tried(stuck())]
    clock = ClockDecision(recording="other", offset_s=0, decision="trusted", reason="")
    found = beside(both[first], both[second], clock, entry("other"), 10)
    assert found.faulty == faulty
    assert f"{100 * found.share_within:.1f} % of 600 s" in found.sentence


def test_what_speaks_against_a_second_reference_stands_on_its_settled_clock():
    late = normalised(stuck())
    late["time"] = times_of(START + 60 + np.arange(600))
    other = try_reference(late, (), 10, Reference())
    clock = ClockDecision(recording="other", offset_s=-60, decision="stated", reason="")
    assert beside(tried(wavy()), other, clock, entry("other"), 10).faulty == "second"


def test_a_second_reference_is_compared_after_its_clock_was_settled():
    late = normalised(wavy())
    late["time"] = times_of(START + 20 + np.arange(600))
    other = try_reference(late, (), 10, Reference())
    clock = ClockDecision(recording="other", offset_s=-20, decision="stated", reason="")
    found = beside(tried(wavy()), other, clock, entry("other"), 10)
    assert (found.share_within, found.median_difference_bpm) == (1, 0)


def test_seconds_at_which_nothing_tells_the_devices_clock_are_not_compared():
    trial = try_reference(normalised(np.linspace(100, 160, 300)), (), 10, Reference())
    pieces = (
        Piece(from_s=None, until_s=START + 100, offset_s=0.0),
        Piece(from_s=START + 120, until_s=None, offset_s=30.0),
    )
    clock = CLOCK.model_copy(update={"pieces": pieces})
    device = Trace(START + np.arange(270.0), np.full(270, 130.0))
    placed = device.shifted(clock.offsets(device.time_s))
    status = compare(trial, placed, NAMES, (), 10, clock)["status"].astype(str)
    assert set(status[:100]) == set(status[150:]) == {"compared"}
    assert set(status[100:150]) == {"clock_steps"}
