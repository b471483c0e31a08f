"""Names and files made to hurt: the run ends well, loses nothing else, and shows them as text."""

import os
from pathlib import Path

import pytest

from strapline.ground.tables.archive import NOTICES, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.running.commands import main

FOLDERS = [
    "plain",
    "<img src=x onerror=alert(1)>",
    "$(touch pwned) ; `touch pwned`",
    "quote ' and \" and \\",
    "-rf",
    "%s%n",
    "not/../climbs".replace("/", "∕"),
    "心拍",
    "Case",
    "case",
    "x" * 200,
]

# Names of the exports of one session: each is a device of its own.
FILES = [
    "<img src=x onerror=alert(2)>.csv",
    "=cmd|' ∕C calc'!A1.csv",
    "a*b?c[d].csv",
    "y" * 200 + ".csv",
    "~.csv",
    "Watch.csv",
    "watch.CSV",
]


def rows(shift: int, seconds: int = 150) -> str:
    lines = [
        f"2026-03-01T10:{s // 60:02}:{s % 60:02}Z,{100 + s % 40 + shift}" for s in range(seconds)
    ]
    return "\n".join(["time,heart_rate", *lines]) + "\n"


def tree(folder: Path) -> set[str]:
    return {str(path.relative_to(folder)) for path in folder.rglob("*")}


@pytest.fixture(scope="module")
def folder(with_looks, tmp_path_factory, run_workflow):
    place = with_looks(tmp_path_factory.mktemp("hostile"))
    inbox = place / "inbox"
    for number, name in enumerate(FOLDERS):
        (inbox / name).mkdir(parents=True)
        (inbox / name / "strap.csv").write_text(rows(0, 150 + number))
        (inbox / name / "watch.csv").write_text(rows(3, 150 + number))
    for number, name in enumerate(FILES):
        (inbox / "plain" / name).write_text(rows(number + 4))
    broken = inbox / "plain"
    (broken / "empty.fit").write_bytes(b"")
    (broken / "folder.fit").mkdir()
    os.mkfifo(broken / "pipe.fit")
    (broken / "noise.bin").write_bytes(bytes(range(256)) * 40)
    (broken / "bomb.gpx").write_text(
        '<?xml version="1.0"?><!DOCTYPE g [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">'
        "]><gpx>&b;</gpx>"
    )
    (broken / "cut.fit").write_bytes(b"\x0e\x10\xd9\x07\xff\xff\xff\x7f.FIT\x00\x00")
    (broken / "<script>.csv").write_text(rows(0))
    (broken / "{recording}.csv").write_text(rows(0))
    (inbox / "<script>alert(3)").mkdir()
    (inbox / "{session}").mkdir()
    (inbox / "\u202eright to left").mkdir()
    (inbox / "card").mkdir()
    (inbox / "card" / "session.yaml").write_text("wearer: <b>me</b>\nactivity: [run")
    (inbox / "card" / "strap.csv").write_text(rows(0))
    before = tree(inbox)
    run_workflow(place)
    assert tree(inbox) == before
    return place


def test_every_folder_is_a_session_and_every_good_file_is_compared(folder):
    sessions = SESSIONS.read(folder / "results" / "archive" / "sessions.parquet")
    assert set(sessions["title"]) == {*FOLDERS, "card"}
    assert sessions["set_aside"].notna().sum() == 1
    metrics = METRICS.read(folder / "results" / "archive" / "metrics")
    whole = metrics[metrics["scope"] == "whole"]
    wanted = (whole["metric"] == "bias") & (whole["alignment"] == "settled")
    bias = whole[wanted].groupby("session", observed=True)["value"].apply(sorted)
    assert bias["plain"] == pytest.approx([3, *range(4, 4 + len(FILES))])
    assert len(bias) == len(FOLDERS)


def test_every_bad_file_is_set_aside_with_a_reason(folder, monkeypatch, capsys):
    """By name in what `status` says, and in no table, for a name may be a person's."""
    notices = NOTICES.read(folder / "results" / "archive" / "notices.parquet")
    said = " ".join(notices.loc[notices["kind"] == "set_aside", "text"])
    for reason in (
        "The file is empty",
        "plain: Something is not a file and was not read.",
        "The file is not in a format Strapline reads",
        "The file defines XML entities",
        "The file is broken off or damaged",
        "plain: Something has unprintable characters, braces or a word in angle brackets",
        "session.yaml: is not valid YAML",
    ):
        assert reason in said
    refused = ("<script>", "{session}", "{recording}", "right to left", "pipe.fit", "folder.fit")
    for name in (*refused, "empty.fit", "noise.bin", "bomb.gpx", "cut.fit"):
        assert name not in said
    monkeypatch.chdir(folder)
    assert main(["status"]) == 0
    told = capsys.readouterr().out
    for name in ("<script>alert(3)", "{session}", "\\u202eright to left"):
        assert f"'{name}' has unprintable characters, braces or a word" in told


def test_names_are_text_in_every_page(folder):
    pages = sorted((folder / "results" / "report").rglob("*.html"))
    assert len(pages) > len(FOLDERS)
    for page in pages:
        html = page.read_text(encoding="utf-8")
        assert "<img src=x" not in html
        assert "<script>" not in html
        assert "\u202e" not in html


def test_nothing_is_written_elsewhere(folder):
    assert {path.name for path in folder.iterdir()} == {
        "config",
        "inbox",
        "results",
        ".snakemake",
    }
    assert not list(folder.rglob("pwned"))
    assert not list(folder.rglob("*.unfinished"))
