"""What a card says that apps show, from the card to the intake and the draft."""

import datetime as dt

import pytest
import yaml
from pydantic import ValidationError

from strapline.ground.records.card import Card
from strapline.ground.records.register import Register
from strapline.ground.records.stated import Stated
from strapline.reading.session.draft import draft_card
from strapline.reading.session.inference import describe
from strapline.reading.session.parsed import ParsedExport

START = dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)
REGISTER = Register.model_validate(
    {
        "devices": {
            "strap": {"label": "Strap", "kind": "chest_strap"},
            "watch": {"label": "Watch"},
            "band": {"label": "Band", "kind": "arm"},
        }
    }
)
STRAP = {"file": "a.fit", "device": "strap", "role": "reference", "placement": "chest"}
SHOWN = {"average_bpm": 121, "maximum_bpm": 158, "duration": "24:30"}


def export(file, **facts):
    end = START + dt.timedelta(minutes=20)
    known = {"sha256": file, "raw": file, "first": START, "last": end, "has_rate": True}
    return ParsedExport(file=file, **known | facts)


def described(exports, *entries):
    card = Card.model_validate(
        {"activity": "run", "wearer": "ada", "recordings": [STRAP, *entries]}
    )
    return describe("s", "S", exports, card, REGISTER, "Europe/Lisbon", {})


def test_figures_without_a_file_wait_for_none_and_are_marked():
    entry = {"device": "band", "placement": "left_arm", "firmware": "2", "stated": SHOWN}
    intake = described([export("a.fit")], entry)
    assert intake.set_aside is None
    assert intake.notices == ()
    (band,) = intake.stated
    assert band == intake.stated_alone[0]
    assert (band.recording, band.label) == ("band", "Band (as the app states)")
    assert (band.device_kind, band.placement, band.firmware) == ("arm", "left_arm", "2")
    assert (band.figures.average_bpm, band.figures.duration) == (121, 1470)


def test_figures_beside_a_file_go_with_its_recording():
    entry = {"file": "b.csv", "device": "watch", "stated": SHOWN}
    intake = described([export("a.fit"), export("b.csv")], entry)
    (watch,) = intake.stated
    assert (watch.recording, watch.label, watch.has_export) == ("watch", "Watch", True)
    assert intake.stated_alone == ()


def test_a_file_that_is_recognised_as_the_devices_is_its_export():
    entry = {"device": "watch", "stated": SHOWN}
    intake = described([export("a.fit"), export("watch (1).csv")], entry)
    assert [one.has_export for one in intake.stated] == [True]


def test_where_the_file_cannot_be_read_the_figures_stand_alone():
    entry = {"file": "b.csv", "device": "watch", "stated": SHOWN}
    broken = export("b.csv", has_rate=False, set_aside="It cannot be read.")
    intake = described([export("a.fit"), broken], entry)
    assert [one.label for one in intake.stated_alone] == ["Watch (as the app states)"]
    assert intake.set_aside is None


def test_a_lowest_alone_stands_for_no_device_and_the_tester_is_told():
    entry = {"device": "band", "stated": {"minimum_bpm": 71, "duration": "24:30"}}
    files = [export("a.fit"), export("b.csv")]
    intake = described(files, {"file": "b.csv", "device": "watch"}, entry)
    assert intake.stated_alone == ()
    (said,) = (each.text for each in intake.notices if each.kind == "set_aside")
    assert said.startswith("session.yaml states neither average_bpm nor maximum_bpm of band")


def test_the_straps_own_app_is_held_against_the_straps_export():
    card = Card.model_validate({"recordings": [STRAP | {"stated": SHOWN}]})
    files = [export("a.fit"), export("watch.csv")]
    intake = describe("s", "S", files, card, REGISTER, "UTC", {})
    assert [(one.device, one.has_export) for one in intake.stated] == [("strap", True)]


def test_what_is_left_out_states_nothing():
    entry = {"device": "band", "stated": SHOWN, "leave_out": "worn by another person"}
    assert described([export("a.fit"), export("watch.csv")], entry).stated == ()


def test_a_start_on_the_card_is_read_in_the_bench_zone():
    entry = {"device": "band", "stated": SHOWN, "clock": {"starts_at": "2026-07-01 10:02:00"}}
    (band,) = described([export("a.fit")], entry).stated
    assert band.starts_at == dt.datetime(2026, 7, 1, 9, 2, tzinfo=dt.UTC)


def test_the_draft_keeps_what_was_stated():
    entries = (
        {"file": "b.csv", "device": "watch", "stated": SHOWN},
        {"device": "band", "placement": "left_arm", "stated": SHOWN},
    )
    intake = described([export("a.fit"), export("b.csv")], *entries)
    again = Card.model_validate(yaml.safe_load(draft_card(intake, "UTC")))
    assert {r.device: r.stated for r in again.recordings} == {
        "strap": None,
        "watch": Stated.model_validate(SHOWN),
        "band": Stated.model_validate(SHOWN),
    }


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ({}, "must state average_bpm, maximum_bpm or minimum_bpm"),
        ({"duration": "24:30"}, "must state average_bpm, maximum_bpm or minimum_bpm"),
        ({"average_bpm": 160, "maximum_bpm": 158}, "at most 'maximum_bpm'"),
        ({"average_bpm": 60, "minimum_bpm": 71}, "'minimum_bpm' at most 'average_bpm'"),
        ({"average_bpm": 121, "duration": 0}, "'duration' above 0"),
        ({"average_bpm": 12100}, "less than or equal to 300"),
        ({"average_bpm": "121"}, "valid number"),
        ({"average_bpm": 121, "duration": "24 min"}, "must be a time such as 12:30"),
        ({"average_bpm": 121, "duration": "25:99"}, "must have less than 60 seconds"),
        ({"average_bpm": 121, "duration": "1:72:00"}, "after hours less than 60 minutes"),
    ],
)
def test_what_cannot_be_meant_gets_a_sentence(figures, said):
    with pytest.raises(ValidationError, match=said):
        Stated.model_validate(figures)
