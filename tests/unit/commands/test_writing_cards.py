"""A card written from what was inferred, and from answers."""

import io

import pytest
import yaml

from intakes import recording, session, strap
from strapline.ground.documents import load
from strapline.ground.files import write_model
from strapline.ground.records.card import Card, ClockNote
from strapline.ground.vocabulary import Placement
from strapline.reading.session.draft import draft_card
from strapline.reading.session.questions import card_content, completed, is_answered, questions
from strapline.running.commands import main

ANSWERS = ["--answers", "wearer=june", "watch.placement=left_wrist", "unknown-device.device=band"]


@pytest.fixture
def bench(tmp_path, monkeypatch):
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text("devices: {band: {label: Band}}\n")
    (tmp_path / "config" / "settings.yaml").write_text("")
    (tmp_path / "inbox" / "S 1").mkdir(parents=True)
    unknown = recording("unknown-device", file="x.csv", device="unknown.s-1.0", label="Unknown")
    intake = session(strap(), recording(firmware="7"), unknown, title="S 1", wearer="not stated")
    (tmp_path / "results" / "sessions" / "s-1").mkdir(parents=True)
    write_model(tmp_path / "results" / "sessions" / "s-1" / "intake.json", intake)
    (tmp_path / "results" / "sessions" / "s-1" / "ledger.json").write_text("{}")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO())
    return tmp_path


def card(bench):
    return load(bench / "inbox" / "S 1" / "session.yaml", Card)


def test_answers_stand_in_the_card_beside_what_was_inferred(bench, capsys):
    assert main(["card", "s-1", *ANSWERS]) == 0
    written = card(bench)
    assert (written.activity, written.wearer) == ("run", "june")
    assert [(r.file, r.device, r.role, r.placement, r.firmware) for r in written.recordings] == [
        ("strap.csv", "strap", "reference", "chest", None),
        ("watch.csv", "watch", "test", "left_wrist", "7"),
        ("x.csv", "band", "test", "other", None),
    ]
    said = capsys.readouterr().out
    assert "unknown-device.firmware" in said and "watch.placement" not in said


def test_a_terminal_is_asked_only_what_is_not_known(bench, capsys, monkeypatch):
    asked = []

    def answer(question):
        asked.append(question)
        return "june" if "Who" in question else "band" if "x.csv" in question else ""

    monkeypatch.setattr("builtins.input", answer)
    assert main(["card", "s-1"]) == 0
    assert card(bench).wearer == "june"
    assert [question.split(" (")[0] for question in asked] == [
        "Who wore the devices? ",
        "Which device is x.csv from?",
        "Where was watch worn?",
        "Where was Unknown worn?",
        "Which firmware did Unknown have? ",
    ]


def test_a_wrong_answer_on_a_terminal_is_asked_for_again(bench, capsys, monkeypatch):
    given = iter(["june", "", "left_wirst", "left_wrist", "", ""])
    monkeypatch.setattr("builtins.input", lambda question: next(given))
    assert main(["card", "s-1"]) == 0
    assert "did you mean 'left_wrist'?" in capsys.readouterr().out
    assert card(bench).wearer == "june" and card(bench).recordings[1].placement == "left_wrist"


def test_answers_that_are_piped_in_are_taken_until_they_end(bench, capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("june\nband\nleft\nleft_wrist\n"))
    assert main(["card", "s-1"]) == 0
    said = capsys.readouterr().out
    assert "'placement' is 'left'; did you mean 'left_wrist'?" in said
    assert "Not answered; add to the card what you know:\n  unknown-device.placement" in said
    watch, unknown = card(bench).recordings[1:]
    assert (card(bench).wearer, unknown.device, watch.placement) == ("june", "band", "left_wrist")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("wearr=june", "wearr=june: there is no question 'wearr'. Did you mean 'wearer'?"),
        ("june", "june: that is not an answer; write it as key=answer."),
        ("unknown-device.placement=left_wirst", "did you mean 'left_wrist'?"),
    ],
)
def test_one_wrong_answer_loses_no_other(bench, capsys, wrong, said):
    assert main(["card", "s-1", *ANSWERS[:2], wrong, *ANSWERS[2:]]) == 1
    assert said in capsys.readouterr().out
    written = card(bench)
    assert written.wearer == "june" and written.recordings[1].placement == "left_wrist"
    assert [each.device for each in written.recordings] == ["strap", "watch", "band"]


def test_a_device_that_is_not_answered_is_called_after_its_file(bench, capsys):
    assert main(["card", "s-1", "--answers", "wearer=june"]) == 0
    assert "unknown-device.device (Which device is x.csv from?)" in capsys.readouterr().out
    assert card(bench).recordings[2].device == "x"


@pytest.mark.parametrize(("zone", "stated"), [("UTC", None), ("Europe/Lisbon", "Europe/Lisbon")])
def test_the_settings_zone_is_not_stated_in_a_card(bench, zone, stated):
    """So that it still holds for the session once it is corrected in the settings."""
    path = bench / "results" / "sessions" / "s-1" / "intake.json"
    watch = recording(clock="local", clock_note=ClockNote(time_zone=zone))
    write_model(path, session(strap(), watch, title="S 1"))
    assert main(["card", "s-1"]) == 0
    assert card(bench).recordings[1].clock.time_zone == stated
    draft = yaml.safe_load(draft_card(session(strap(), watch), "UTC"))
    assert Card.model_validate(draft).recordings[1].clock.time_zone == stated


def test_a_session_that_is_not_there_has_no_card(bench, capsys):
    assert main(["card", "s-2"]) == 2
    assert "no session 's-2'" in capsys.readouterr().err


def test_a_card_that_a_tester_wrote_is_not_written_over(bench, capsys):
    place = bench / "inbox" / "S 1" / "session.yaml"
    own = "- {file: watch.csv, device: watch, placement: left_wrist}"
    mine = f"wearer: june # mine\nrecordings:\n{own}\n"
    place.write_text(mine)
    assert main(["card", "s-1", *ANSWERS]) == 2
    assert place.read_text() == mine
    said = capsys.readouterr().err
    assert "Add to it what you know:\n  unknown-device.device (Which device is x.csv from?)" in said
    assert "wearer" not in said and "watch.placement" not in said


def test_a_card_that_was_written_is_completed(bench, capsys):
    """Before a run has read it; what was answered stays, and is not asked again."""
    place = bench / "inbox" / "S 1" / "session.yaml"
    assert main(["card", "s-1", "--answers", "wearer=june"]) == 0
    assert main(["card", "s-1", "--answers", "watch.placement=Left wrist"]) == 0
    assert "watch.placement" not in capsys.readouterr().out.rpartition("Not answered")[2]
    rest = [f"unknown-device.{key}" for key in ("placement=left_wrist", "firmware=2")]
    assert main(["card", "s-1", "--answers", *rest, "wearer=ada"]) == 1
    watch, unknown = card(bench).recordings[1:]
    assert (card(bench).wearer, watch.placement, unknown.firmware) == ("june", "left_wrist", "2")
    before = place.read_bytes()
    assert main(["card", "s-1"]) == 2
    assert "nothing is left to ask" in capsys.readouterr().err and place.read_bytes() == before


def test_a_correction_is_said_in_the_card_and_the_rest_stays_as_written(bench, capsys):
    place = bench / "inbox" / "S 1" / "session.yaml"
    assert main(["correct", "s-1", "--why", "It slipped: twice."]) == 0
    said = capsys.readouterr().out
    assert "results/report/corrections.md" in said and "publish holds nothing of it" in said
    assert load(place, Card).correction == "It slipped: twice."
    assert load(place, Card).recordings == ()
    mine = "# mine\nnotes: |\n  Wet.\nactivity: run   # long\n\n"
    place.write_text(mine)
    assert main(["correct", "s-1", "--why", "'Ä' #1"]) == 0
    assert place.read_text("utf-8").startswith(mine.rstrip())
    assert load(place, Card).correction == "'Ä' #1" and load(place, Card).notes == "Wet.\n"
    place.write_text("# mine\n")
    assert main(["correct", "s-1", "--why", "It slipped."]) == 0
    assert place.read_text() == "# mine\ncorrection: It slipped.\n"


@pytest.mark.parametrize(
    "before",
    [
        "# mine\ncorrection: |\n  It slipped,\n  twice.\nactivity: run # long\n",
        "# mine\nactivity: run # long\ncorrection: 'It\n  slipped.' # so\n",
        "# mine\nactivity: run # long\ncorrection: It slipped.",
    ],
)
def test_a_later_correction_takes_the_place_of_the_one_before(bench, before):
    place = bench / "inbox" / "S 1" / "session.yaml"
    place.write_text(before)
    assert main(["correct", "s-1", "--why", "It was loose."]) == 0
    assert place.read_text() == "# mine\nactivity: run # long\ncorrection: It was loose.\n"


@pytest.mark.parametrize("card", ["{activity: run}\n", "activity: run\n...\n", "activity: [run\n"])
def test_a_card_that_a_line_more_would_break_stays_as_it_is(bench, card):
    place = bench / "inbox" / "S 1" / "session.yaml"
    place.write_text(card)
    assert main(["correct", "s-1", "--why", "It slipped."]) == 2
    assert place.read_text() == card


@pytest.mark.parametrize("why", ["", "x" * 2001])
def test_a_correction_says_something(bench, why):
    assert main(["correct", "s-1", "--why", why]) == 2
    assert not (bench / "inbox" / "S 1" / "session.yaml").exists()


def test_a_device_is_asked_for_a_place_where_its_kind_is_worn():
    ring, own, odd = (recording(kind, device_kind=kind) for kind in ("finger", "arm", "other"))
    found = questions(session(strap(), ring, own, odd), (), ())
    places = {each.key: each.choices for each in found if each.key.endswith(".placement")}
    assert places["finger.placement"] == ("left_finger", "right_finger")
    assert set(places["arm.placement"]) > {"left_upper_arm", "right_forearm"}
    assert set(places["other.placement"]) == set(Placement)


TWO = [{"file": "both.fit", "device": "strap", "role": "reference", "stream": 1}]
TWO += [{"file": "both.fit", "device": "watch", "stream": 2, "placement": "left_wrist"}]


@pytest.mark.parametrize(
    "said", [TWO, TWO[::-1], [TWO[0], {"device": "watch", "placement": "left_wrist"}]]
)
def test_streams_of_one_file_keep_what_a_card_says_of_each(said):
    strap_s = strap(file="both.fit", source="strap", stream=1)
    intake = session(strap_s, recording(file="both.fit", source="itself", stream=2))
    assert is_answered("watch.placement", intake, {"recordings": said})
    assert not is_answered("watch.firmware", intake, {"recordings": said})
    made = card_content(intake, {"watch.firmware": "7"}, "UTC")
    whole = Card.model_validate(completed({"recordings": said}, made))
    assert [(e.device, e.stream, e.placement, e.firmware) for e in whole.recordings] == [
        ("strap", 1, "chest", None),
        ("watch", 2, "left_wrist", "7"),
    ]
