import datetime as dt

import pytest
import yaml

from strapline.session.card import Card
from strapline.session.devices import Register
from strapline.session.draft import draft_card
from strapline.session.inference import describe
from strapline.session.parsed import ParsedExport

START = dt.datetime(2026, 3, 1, 10, tzinfo=dt.UTC)

REGISTER = Register.model_validate(
    {
        "devices": {
            "strap": {"label": "Strap", "kind": "chest_strap", "recognise": [{"product": "S1*"}]},
            "watch": {"label": "Watch", "recognise": [{"file_name": "watch*"}]},
        }
    }
)


def export(file, **facts):
    known = {
        "sha256": file,
        "format": "csv",
        "clock": "utc",
        "maker": None,
        "product": None,
        "serial": None,
        "sport": None,
        "remarks": [],
        "set_aside": None,
        "first": START,
        "has_rate": True,
        "has_beats": False,
    }
    return ParsedExport(recording=file.split(".")[0], file=file, **(known | facts))


def described(exports, card=None, mistakes=(), zone="UTC"):
    stated = Card.model_validate(card or {})
    return describe("s", "S", exports, stated, REGISTER, zone, mistakes)


def texts(intake, kind):
    return [notice.text for notice in intake.notices if notice.kind == kind]


def test_the_card_is_believed():
    card = {
        "activity": "run",
        "wearer": "ada",
        "recordings": [
            {"file": "a.csv", "device": "watch", "placement": "left_wrist"},
            {"file": "b.csv", "device": "strap", "role": "reference"},
        ],
    }
    intake = described([export("a.csv"), export("b.csv")], card)
    assert (intake.activity, intake.wearer, intake.set_aside) == ("run", "ada", None)
    assert intake.reference.recording == "b"
    assert [(r.label, r.placement) for r in intake.tested] == [("Watch", "left_wrist")]
    assert intake.notices == ()


@pytest.mark.parametrize(
    ("exports", "reference", "ground"),
    [
        ([export("x.fit", product="S1 mini"), export("watch.fit")], "x", "chest strap"),
        ([export("x.fit", has_beats=True), export("y.fit")], "x", "RR intervals"),
        ([export("my_chest.fit"), export("y.fit")], "my_chest", "its name"),
    ],
)
def test_without_a_card_the_reference_is_inferred_and_said(exports, reference, ground):
    intake = described(exports)
    assert intake.reference.recording == reference
    assert any(ground in text for text in texts(intake, "assumed"))
    assert (intake.wearer, intake.activity) == ("unstated", "unstated")


def test_a_reference_that_cannot_be_told_is_not_guessed():
    intake = described([export("a.csv"), export("b.csv")])
    assert intake.reference is None
    assert "give one the role 'reference' in session.yaml" in intake.set_aside
    both = [export("a.csv", has_beats=True), export("b.csv", has_beats=True)]
    assert described(both).reference is None


def test_the_activity_is_the_files_word_where_they_agree():
    sports = [export("strap.csv", sport="Running"), export("b.csv", sport="Running")]
    assert described(sports).activity == "running"
    sports.append(export("c.csv", sport="Cycling"))
    assert described(sports).activity == "unstated"


def test_one_bad_file_loses_nothing_else():
    exports = [export("strap.csv"), export("a.csv"), export("b.csv", set_aside="Broken.")]
    intake = described(exports)
    assert intake.set_aside is None
    assert [r.recording for r in intake.tested] == ["a"]
    assert texts(intake, "set_aside") == ["b.csv: Broken."]


def test_a_bad_reference_sets_the_session_aside():
    card = {
        "recordings": [
            {"file": "a.csv", "device": "strap", "role": "reference"},
            {"file": "b.csv", "device": "watch"},
        ]
    }
    intake = described([export("a.csv", has_rate=False), export("b.csv")], card)
    assert "The reference cannot be used. a.csv: holds no heart rate" in intake.set_aside


def test_the_same_file_twice_is_one_recording():
    exports = [export("strap.csv"), export("a.csv", sha256="1"), export("b.csv", sha256="1")]
    intake = described(exports)
    assert [r.recording for r in intake.tested] == ["a"]
    assert texts(intake, "set_aside") == ["b.csv: is the same file as a.csv; it is used once."]


def test_card_and_folder_that_do_not_match():
    card = {
        "recordings": [
            {"file": "strap.csv", "device": "strap", "role": "reference"},
            {"file": "gone.csv", "device": "watch"},
            {"file": "a.csv", "device": "watch"},
        ]
    }
    intake = described([export("strap.csv"), export("a.csv"), export("extra.csv")], card)
    aside = " ".join(texts(intake, "set_aside"))
    assert "names gone.csv, which is not in the folder" in aside
    assert "extra.csv: not named in session.yaml" in aside


def test_a_card_with_mistakes_is_not_overruled_by_guesses():
    intake = described([export("strap.csv"), export("a.csv")], mistakes=["session.yaml: x."])
    assert intake.set_aside == "session.yaml: x."


def test_nothing_to_compare():
    assert "holds no exports" in described([]).set_aside
    assert "No device is left" in described([export("strap.csv")]).set_aside


def test_clocks_are_completed():
    exports = [
        export("strap.csv", clock="elapsed", first=None),
        export("a.csv", clock="local", first=dt.datetime(2026, 7, 1, 10, tzinfo=dt.UTC)),
    ]
    intake = described(exports, zone="Europe/Lisbon")
    notes = {r.recording: r.clock_note for r in intake.recordings}
    assert notes["a"].time_zone == "Europe/Lisbon"
    # Lisbon is an hour ahead of UTC in July; the elapsed file is placed at the other's start.
    assert notes["strap"].starts_at == dt.datetime(2026, 7, 1, 9, tzinfo=dt.UTC)
    assumed = " ".join(texts(intake, "assumed"))
    assert "a.csv gives times without a zone; they are read as Europe/Lisbon time" in assumed
    assert "strap.csv gives only time since its start" in assumed


def test_a_draft_card_states_what_was_inferred():
    exports = [
        export("strap.csv", clock="elapsed", first=None),
        export("watch: 1.csv", clock="local", sport="run"),
        export("bad.csv", set_aside="Broken:\n- it is"),
    ]
    stated = {"segments": [{"label": "a", "from": 1, "to": 2}], "body": {"age_years": 34}}
    inferred = described(exports, stated)
    text = draft_card(inferred)
    assert "# wearer: ?\n" in text
    again = described(exports[:2], yaml.safe_load(text))
    assert again.recordings == inferred.recordings[:2]
    assert (again.activity, again.segments) == (inferred.activity, inferred.segments)
    assert again.body == inferred.body and again.body.age_years == 34
