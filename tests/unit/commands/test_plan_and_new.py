"""The commands a tester plans with, from an empty archive."""

import re
import subprocess
import sys

import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.documents import load
from strapline.ground.files import write_model
from strapline.ground.records.card import Card
from strapline.ground.settings import Settings
from strapline.ground.tables.archive import SESSIONS
from strapline.reading.inbox.discovery import read_inbox
from strapline.running.commands import main

REGISTER = """
devices:
  strap: {label: Chest strap, kind: chest_strap}
  watch: {label: "Watch <one>"}
  band: {label: Band two}
"""


@pytest.fixture
def bench(tmp_path, monkeypatch):
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text(REGISTER)
    (tmp_path / "config" / "settings.yaml").write_text("plan: {activities: [run], wearers: [ada]}")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def inbox(bench):
    return read_inbox(bench / "inbox", Settings(), bench)


def test_the_plan_says_what_is_next(bench, capsys):
    assert main(["plan"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("With 4 sessions in the next 4 weeks you will have a first statement on")
    assert "\n  1. Run, Watch <one> left, Band two right, worn by ada: then " in said
    assert main(["plan", "--full"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Next: Run, Watch <one> left, Band two right, worn by ada.\n")
    assert "1   Run       Watch <one>  Band two     –          ada" in said
    assert not (bench / "results").exists()


def test_the_plan_says_what_a_session_buys_once(bench, capsys):
    text = "plan: {activities: [run, ride, walk, row]}"
    (bench / "config" / "settings.yaml").write_text(text)
    assert main(["plan"]) == 0
    said = capsys.readouterr().out
    assert said.count("have 1 of 3 sessions.") == 4
    listed = [line.split(".")[0] for line in said.splitlines() if re.match(r"  \d\.", line)]
    assert listed == ["  1", "  2", "  3", "  4"] and said.startswith("With 4 sessions ")


def test_a_new_session_has_a_card_that_says_what_is_planned(bench, capsys):
    assert main(["new", "--date", "2026-03-02"]) == 0
    card = load(bench / "inbox" / "2026-03-02 run" / "session.yaml", Card)
    assert (card.activity, card.wearer) == ("run", "ada")
    assert [(r.device, r.role, r.placement) for r in card.recordings] == [
        ("strap", "reference", "chest"),
        ("watch", "test", "left_wrist"),
        ("band", "test", "right_wrist"),
    ]
    said = capsys.readouterr().out
    assert "Run, Watch <one> left, Band two right, worn by ada." in said
    assert "stop when unwell" in said and "Mühlen" in said


def test_a_session_without_files_waits(bench):
    main(["new", "--date", "2026-03-02"])
    assert inbox(bench).sessions == {}
    assert inbox(bench).waiting == ("2026-03-02 run",)
    (bench / "inbox" / "2026-03-02 run" / "strap.csv").write_text("time,heart_rate\n")
    assert inbox(bench).waiting == () and len(inbox(bench).sessions) == 1


def test_nothing_is_written_over(bench):
    for _ in range(3):
        assert main(["new", "--date", "2026-03-02"]) == 0
    names = sorted(folder.name for folder in (bench / "inbox").iterdir())
    assert names == ["2026-03-02 run", "2026-03-02 run 2", "2026-03-02 run 3"]


def test_names_that_differ_only_in_signs_stay_apart(bench):
    (bench / "inbox" / "2026-03-02 (Run)").mkdir(parents=True)
    main(["new", "--date", "2026-03-02"])
    assert (bench / "inbox" / "2026-03-02 run 2").is_dir()


@pytest.mark.parametrize(
    ("activity", "wearer", "folder"),
    [
        ("Hill Sprints", "Ädä", "2026-03-02 hill-sprints"),
        ("../../etc", "a{b}<c>", "2026-03-02 etc"),
        ("row\n", "o" * 80, "2026-03-02 row"),
    ],
)
def test_odd_names_become_words_of_a_card(bench, activity, wearer, folder):
    assert main(["new", activity, "--wearer", wearer, "--date", "2026-03-02"]) == 0
    card = load(bench / "inbox" / folder / "session.yaml", Card)
    assert card.activity in folder and card.wearer


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["new", "山"], "needs a letter"),
        (
            ["new", "run", "--left", "nobody"],
            "no device for a wrist 'nobody'. There are: watch, band.",
        ),
        (["new", "run", "--left", "band"], "different device for each wrist"),
        (["new", "--inbox", "config/devices.yaml"], "cannot be made"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(bench, capsys, arguments, sentence):
    assert main(arguments) == 2
    assert sentence in capsys.readouterr().err
    assert not (bench / "inbox").exists()


def test_a_bench_without_devices_is_told_to_name_them(bench, capsys):
    (bench / "config" / "devices.yaml").write_text("devices: {}")
    assert main(["plan"]) == 0
    assert "name your devices" in capsys.readouterr().out
    assert main(["new", "run"]) == 2
    assert "name your devices" in capsys.readouterr().err


def test_devices_are_asked_for_before_an_activity(bench, capsys):
    (bench / "config" / "devices.yaml").write_text("devices: {}")
    (bench / "config" / "settings.yaml").write_text("{}")
    assert main(["new"]) == 2
    assert "name your devices in config/devices.yaml" in capsys.readouterr().err


def test_output_may_be_cut_short(bench):
    """As by `strapline plan | head -1`."""
    command = [sys.executable, "-m", "strapline", "plan"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    process.stdout.close()
    assert process.stderr.read() == b""
    assert process.wait() == 0


def test_a_ring_is_put_on_no_wrist(bench, capsys):
    place = bench / "config" / "devices.yaml"
    place.write_text(f"{REGISTER}  ring: {{label: Ring, kind: finger}}\n")
    assert main(["plan"]) == 0
    said = capsys.readouterr().out
    assert "  1. Run, Watch <one> left, Band two right, Ring left finger, worn by" in said
    place.write_text("devices: {ring: {label: Ring, kind: finger}, watch: {label: Watch}}\n")
    assert main(["new", "run", "--date", "2026-03-02"]) == 0
    assert "Run, Watch left, Ring left finger, worn by ada." in capsys.readouterr().out
    card = load(bench / "inbox" / "2026-03-02 run" / "session.yaml", Card)
    placed = [(entry.device, entry.placement) for entry in card.recordings]
    assert placed == [("watch", "left_wrist"), ("ring", "left_finger")]
    assert main(["new", "run", "--left", "ring"]) == 2


def test_a_card_carries_over_what_holds_until_somebody_says_otherwise(bench, capsys):
    said = {"height_cm": 170, "caffeine": "none", "surface": "track"}
    for name, firmware, conditions in (("s-1", "2.3", {}), ("s-2", "2.4", said)):
        watch = recording("watch", firmware=firmware)
        known = session(strap(), watch, name=name, wearer="ada", conditions=conditions)
        folder = bench / "results" / "sessions" / name
        folder.mkdir(parents=True)
        write_model(folder / "intake.json", known)
    common = {"wearer": "ada", "activity": "run", "devices": 1}
    common |= {"clocks_aligned": 1, "clocks_left": 0}
    rows = [
        {"session": name, "title": name, "started_at": pd.Timestamp(day, tz="UTC"), **common}
        for name, day in (("s-1", "2026-03-02"), ("s-2", "2026-03-01"))
    ]
    (bench / "results" / "archive").mkdir()
    SESSIONS.write(SESSIONS.from_rows(rows), bench / "results" / "archive" / "sessions.parquet")
    # The session of the later day counts, whatever its name.
    assert main(["new", "--date", "2026-03-05"]) == 0
    told = capsys.readouterr().out
    assert "As last time: firmware 2.3 of Watch <one>. If that has changed, correct" in told
    assert "[ ]" in told
    sheet = bench / "results" / "report" / "sheet.html"
    sheet.parent.mkdir()
    sheet.write_text("")
    assert main(["new", "--date", "2026-03-05"]) == 0
    told = capsys.readouterr().out
    # Who has sessions and the sheet is not told all of it each time, but the caution.
    assert "[ ]" not in told and "sheet.html" in told and "stop when unwell" in told
    rows[1]["started_at"] = pd.Timestamp("2026-03-04", tz="UTC")
    SESSIONS.write(SESSIONS.from_rows(rows), bench / "results" / "archive" / "sessions.parquet")
    assert main(["new", "--date", "2026-03-06"]) == 0
    path = bench / "inbox" / "2026-03-06 run" / "session.yaml"
    card = load(path, Card)
    assert {e.device: e.firmware for e in card.recordings}["watch"] == "2.4"
    assert card.conditions == {"height_cm": 170}
    text = path.read_text()
    assert "#   surface:   # last time: track\n" in text
    assert "#   caffeine:   # none, or how much and when; last time: none\n" in text
