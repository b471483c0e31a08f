import pytest

import intakes
from strapline.ground.records.alignment import (
    ClockDecision,
    Piece,
    ReferenceVerdict,
    SessionAlignment,
)
from strapline.ground.records.intake import Notice
from strapline.ground.records.ledger import ComparisonLedger, RecordingLedger, SessionLedger, Tally
from strapline.ground.records.picture import Resolution
from strapline.ground.vocabulary import UNSTATED, NoticeKind
from strapline.method.claims.advice import sentences
from strapline.method.claims.usable import usability


def recording(name, **given):
    known = {"label": name.title(), "placement": "left_wrist", "firmware": "1.0"}
    return intakes.recording(name, **known | given)


def advised(found):
    return tuple(sentences(found.advice))


def judged(
    *recordings,
    seconds=1800,
    used=None,
    every_s=1,
    outside=None,
    decisions=None,
    moved=None,
    doubted=0.0,
    set_aside=None,
    strap_out=0,
    reason="",
    **facts,
):
    """`used`, `decisions`: by recording, where not all of it, settled; `moved`, what else was
    decided of the clocks of these; `outside`, of what was not used, the seconds before and after
    the recordings; `strap_out`: those without a strap."""
    used, decisions, (before, after) = used or {}, decisions or {}, outside or (0, 0)
    none = Tally(total=0, used=0, left_out={})
    worn = (intakes.strap(firmware="1.0"), *recordings)
    intake = intakes.session(*worn, name="s", set_aside=set_aside, **facts)
    names = [each.recording for each in recordings]
    kept = {name: used.get(name, seconds) for name in names}
    ledger = SessionLedger(
        session="s",
        recordings=tuple(
            RecordingLedger(
                recording=name,
                samples=Tally(total=seconds, used=seconds, left_out={}),
                beats=none,
                usual_s=every_s,
                largest_usual_s=every_s,
            )
            for name in names
        ),
        comparisons=tuple(
            ComparisonLedger(
                recording=name,
                alignment=view,
                seconds=Tally(
                    total=seconds,
                    used=kept[name],
                    left_out={
                        "before_recording": before,
                        "after_recording": after,
                        "no_reference": strap_out,
                        "no_device": seconds - kept[name] - before - after - strap_out,
                    },
                ),
            )
            for name in names
            for view in ("delay_out", "settled")
        ),
    )
    verdict = ReferenceVerdict(
        seconds=seconds,
        doubtful={},
        share=doubted,
        set_aside=doubted > 0.25,
        sentence="The strap cannot be believed.",
    )
    clocks = tuple(
        ClockDecision(
            recording=name,
            decision=decisions.get(name, "estimated"),
            **{"offset_s": 0, "reason": reason} | (moved if moved and name in decisions else {}),
        )
        for name in names
    )
    alignment = SessionAlignment(session="s", reference="strap", verdict=verdict, clocks=clocks)
    return usability(intake, alignment, ledger)


WATCH, BAND = recording("watch"), recording("band", placement="right_wrist")


def test_a_good_session_asks_for_nothing():
    found = judged(WATCH, BAND)
    assert found.verdict == "Watch and Band were compared with the strap."
    assert advised(found) == ()
    assert found.answer == "Usable: yes. Watch and Band were compared with the strap."


def test_what_to_write_into_the_card_is_nothing_for_next_time():
    found = judged(WATCH, BAND, used={"watch": 900}, wearer=UNSTATED)
    assert found.answer.startswith("Usable: partly. Band was compared")
    assert [one.startswith("Watch has no value") for one in found.to_do(in_card=False)] == [True]
    assert [one.startswith("While you remember") for one in found.to_do(in_card=True)] == [True]
    refused = judged(set_aside="No strap.")
    assert refused.answer == "Usable: no. No strap."


def test_what_is_set_aside_is_no_evidence_and_says_why():
    assert judged(set_aside="No strap.").verdict == "Does not count. No strap."
    found = judged(WATCH, doubted=0.4)
    assert found.verdict == "Does not count. The strap cannot be believed."
    assert "is missing or in doubt for 40 % of the time. Wet its electrodes" in advised(found)[0]


def test_gaps_are_told_with_their_share():
    found = judged(WATCH, BAND, used={"watch": 900})
    assert found.verdict == "Band was compared with the strap, Watch for 50 % of the time."
    assert "Watch has no value for 50 % of the time" in advised(found)[0]
    assert advised(judged(WATCH, used={"watch": 1700})) == ()


def test_a_device_compared_for_less_than_five_minutes_is_no_evidence():
    found = judged(WATCH, BAND, used={"watch": 299})
    assert found.verdict == "Band was compared with the strap; Watch could not be."
    assert judged(WATCH, used={"watch": 299}).verdict == (
        "Does not count. No device could be compared for 5 min."
    )


def test_a_device_that_shares_no_second_has_another_clock():
    why = "The recordings share no time. Its clock looks wrong by 360 min."
    for outside, strap_out in (((1800, 0), 0), ((1700, 0), 100)):
        out = {"used": {"watch": 0}, "outside": outside, "strap_out": strap_out}
        assert advised(judged(WATCH, reason=why, **out))[0] == f"Watch: {why}"
    # One that lasts as long and shows nothing has its clock right.
    assert "no value for 100 %" in advised(judged(WATCH, used={"watch": 0}))[0]


def test_a_late_start_is_the_testers_and_no_gap():
    found = judged(WATCH, used={"watch": 1500}, outside=(180, 120))
    assert advised(found) == (
        "Watch’s recording began 3 min late and ended 2 min early. Start and stop it with the "
        "strap; if you did, export it again.",
    )


def test_a_file_that_breaks_off_is_told_first_and_explains_its_early_end():
    text = "The file breaks off after 9 records; what came before is used."
    broken = Notice(kind=NoticeKind.BROKEN_OFF, text=text, recording="watch")
    ends = {"used": {"watch": 1500, "band": 1500}, "outside": (0, 300), "doubted": 0.1}
    first, *others = advised(judged(WATCH, BAND, notices=(broken,), **ends))
    assert first == f"Watch: {text} Export it again."
    assert not any("Watch" in each for each in others)
    assert any(each.startswith("Band’s recording ended 5 min early.") for each in others)
    late = judged(WATCH, notices=(broken,), used={"watch": 900}, outside=(600, 300))
    assert advised(late)[1].startswith("Watch’s recording began 10 min late. Start")


def test_sparse_recordings_are_told_with_their_intervals_in_one_sentence():
    assert advised(judged(WATCH, BAND, every_s=60)) == (
        "Let a device record every second if it can (fewer values are no fault): Watch usually has "
        "one every 60 s and Band usually has one every 60 s.",
    )
    assert advised(judged(WATCH, every_s=2)) == ()


def test_a_screenshot_cannot_be_set_to_record_every_second():
    fine = Resolution.model_construct()
    shown = WATCH.model_copy(update={"resolution": fine})
    assert advised(judged(shown, every_s=60)) == ()


def test_a_device_that_may_be_misspelt_is_not_asked_about():
    misspelt = recording("wach", device="wach", placement="other", firmware=None)
    found = judged(misspelt, set_aside="'device' is 'wach'; did you mean 'watch'?", wearer=UNSTATED)
    (said,) = advised(found)
    assert "the wearer" in said and "Wach" not in said


def test_nothing_is_asked_of_a_card_that_has_a_mistake():
    """It may say it where it cannot be read."""
    mistaken = "'avtivity' is not a known key; did you mean 'activity'?"
    for card, said in (("ab" * 32, 0), (None, 1)):
        found = judged(WATCH, set_aside=mistaken, card_sha256=card, wearer=UNSTATED)
        assert len(advised(found)) == said


def test_a_copy_of_the_strap_is_unpaired():
    found = judged(WATCH, BAND, used={"watch": 0}, decisions={"watch": "copy"})
    assert found.verdict == "Band was compared with the strap; Watch could not be."
    assert advised(found) == (
        "Watch reads the same as the strap nearly throughout, so it seems to have recorded the "
        "strap’s signal. Unpair it from the strap, and switch off the strap’s broadcast; if it "
        "used its own sensor, state own_sensor: true in session.yaml.",
    )


def test_a_clock_left_as_recorded_calls_for_nothing():
    assert advised(judged(WATCH, BAND, decisions={"band": "refused"})) == ()


@pytest.mark.parametrize(
    ("decision", "clock", "told"),
    [
        ("channels", {}, "was 3600 s ahead and was set right. Set it, or state offset_s: -3600 "
         "under clock in session.yaml."),
        # The rest is by heart rate, and may be the sensor's delay.
        ("estimated", {"gross_shift_s": -3592.0}, "was 3600 s ahead and was set right. Set "
         "it, or state offset_s: -3592 and about: true under clock in session.yaml."),
        ("estimated", {}, "was 3600 s ahead and was set right, by heart rate alone, so no claim "
         "rests on it. Set it before the next session; if you know that it was wrong by about "
         "that, state offset_s: -3600 and about: true under clock in session.yaml."),
        ("channels", {"drift_per_hour_s": 12.0}, "drifts by +12.0 s an hour and was set right for "
         "that. Set it before each session; no line in the card can do that."),
    ],
)  # fmt: skip
def test_a_clock_that_was_moved_is_told_with_what_the_evidence_lets_a_card_say(
    decision, clock, told
):
    found = judged(WATCH, BAND, decisions={"band": decision}, moved={"offset_s": -3600} | clock)
    assert advised(found) == (f"Band's clock {told}",)
    assert advised(judged(WATCH, BAND, decisions={"band": decision})) == ()


def test_a_pause_left_out_is_told_until_the_card_states_it():
    parts = {"pieces": (Piece(from_s=None, until_s=60, offset_s=0),), "reason": "It jumps."}
    for decision, told in (("estimated", True), ("channels", True), ("stated", False)):
        found = judged(WATCH, BAND, decisions={"band": decision}, moved=parts)
        assert advised(found) == (("Band: It jumps.",) if told else ())


def test_two_files_of_one_device_whose_clocks_come_out_apart_are_told():
    found = judged(WATCH, BAND, decisions={"band": "refused"}, moved={"apart": "It is 28 s apart."})
    assert advised(found) == ("Band: It is 28 s apart.",)


def test_a_time_zone_in_doubt_is_told_in_place_of_the_clock():
    doubt = {"offset_s": 7200, "gross_shift_s": 7200, "zone_in_doubt": "Is the zone right?"}
    found = judged(WATCH, BAND, decisions={"band": "estimated"}, moved=doubt)
    assert advised(found) == ("Is the zone right?",)


def test_a_drift_is_told_where_the_clock_is_right_in_the_middle():
    drift = {"drift_per_hour_s": -6.0}
    (told,) = advised(judged(WATCH, BAND, decisions={"band": "channels"}, moved=drift))
    assert told.startswith("Band's clock drifts by −6.0 s an hour")


def test_a_short_session():
    assert advised(judged(WATCH, seconds=600))[0].startswith("The session lasts 10 minutes")
    assert advised(judged(WATCH, seconds=900)) == ()


def test_what_only_the_tester_knows():
    found = judged(
        recording("watch", placement="other"),
        recording("band", firmware=None),
        recording("ring", firmware=None),
        wearer=UNSTATED,
        card_sha256="0",
    )
    assert advised(found) == (
        "While you remember, add to session.yaml: the wearer, where Watch was worn and the "
        "firmware of Band and Ring.",
    )
    known = ["", "", "firmware band", "firmware ring"]
    assert [advice.once for advice in found.advice] == known


def test_a_time_zone_that_was_set_right_is_told():
    notice = Notice(kind="clock", text="It is read as UTC+06:00 time.", recording="watch")
    assert advised(judged(WATCH, notices=(notice,))) == ("Watch: It is read as UTC+06:00 time.",)


def test_a_session_without_a_card_is_given_the_command_that_writes_one():
    (said,) = advised(judged(WATCH, wearer=UNSTATED))
    assert said == "While you remember, type `strapline card s` and say: the wearer."


def test_the_firmware_of_a_device_without_a_name_is_not_asked_for():
    nameless = recording("unknown-device", device="unknown.s.0", firmware=None, placement="chest")
    assert advised(judged(nameless)) == ()


def test_when_a_strap_began_is_asked_for_where_its_file_does_not_say():
    watch = recording("watch", start_assumed=True)
    (said,) = advised(judged(watch))
    assert said == (
        "While you remember, type `strapline card s` and say: when Watch began, to the second "
        "(starts_at under clock)."
    )
    assert advised(judged(watch.model_copy(update={"start_assumed": False}))) == ()


def test_no_clock_is_to_be_set_where_the_straps_start_is_assumed():
    moved = {"offset_s": 9.3, "assumed_start": "the strap’s"}
    reason = "By heart rate the strap’s start, which is assumed, looks 9.3 s too late."
    found = judged(WATCH, BAND, decisions={"watch": "estimated"}, moved=moved, reason=reason)
    assert advised(found) == (f"Watch: {reason}",)
