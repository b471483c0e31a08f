"""What is published of a session and a device: the tables' figures, in forms others can read."""

import csv as csv_reader
import io
import json
import re

import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.settings import Palette, Tolerance
from strapline.ground.tables.archive import FINDINGS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED
from strapline.telling.charts.font import WEIGHTS
from strapline.telling.charts.picture import Content, Picture, by_column
from strapline.telling.publish import sources, tables
from strapline.telling.publish.folder import write_folder
from strapline.telling.publish.text import Text

TEXT = Text("Title", "Description.", "Aloud.", ("1 bpm",), "Two sessions.")


@pytest.fixture
def intake():
    return session(strap(), recording("a", label="Watch | one"), recording("b", label="Watch two"))


@pytest.fixture
def metrics():
    base = {
        "session": "s-1",
        "wearer": "ada",
        "activity": "run",
        "scope": "whole",
        "unit": "bpm",
        "n": 600,
    }
    found = [
        ("a", "settled", "bias", -2.26, -3.14, -1.0),
        ("a", "delay_out", "bias", -4.0, None, None),
        ("b", "settled", "bias", 0.5, 0.25, 0.75),
        ("b", "settled", "pearson_r", 0.9876, None, None),
    ]
    columns = ("recording", "alignment", "metric", "value", "ci_low", "ci_high")
    rows = [dict(zip(columns, row, strict=True)) for row in found]
    return METRICS.from_rows([base | row | {"device": row["recording"]} for row in rows])


@pytest.fixture
def rows(intake, metrics):
    return tables.session_rows(intake, metrics, Tolerance())


def cells(line):
    return [cell.strip() for cell in re.split(r"(?<!\\)\|", line)[1:-1]]


def test_markdown_has_the_main_figures_of_the_table(rows):
    lines = tables.session_markdown(rows).splitlines()
    # The names' own bars are no walls of cells.
    assert cells(lines[0]) == ["Figure", r"Watch \| one", "Watch two"]
    assert set("".join(cells(lines[1]))) == {"-", ":"}
    assert cells(lines[2]) == ["Bias, bpm", "−2.3 (−3.1 to −1.0)", "+0.5 (+0.2 to +0.8)"]
    # Correlation is for the statistically minded, and stands in the CSV.
    assert len(lines) == 3


def test_csv_has_every_figure_in_both_views(rows):
    read = list(csv_reader.DictReader(io.StringIO(tables.csv(rows))))
    found = [(row["device"], row["clocks"], row["figure"], row["value"]) for row in read]
    assert found == [
        ("Watch | one", "as it is", "Bias, bpm", "-2.26"),
        ("Watch | one", "delay taken out", "Bias, bpm", "-4"),
        ("Watch two", "as it is", "Bias, bpm", "0.5"),
        ("Watch two", "as it is", "Correlation", "0.9876"),
    ]


def test_device_table_stands_on_the_findings():
    base = {"device": "a", "alignment": "settled", "unit": "bpm", "wearers": 2, "minutes": 9.0}
    findings = FINDINGS.from_rows(
        [
            base | {"activity": "run", "statistic": "bias", "value": 1.0, "sessions": 3},
            base
            | {
                "activity": ALL_ACTIVITIES,
                "statistic": "limit_lower",
                "value": -9.0,
                "low": -12.0,
                "high": -7.0,
                "sessions": 5,
            },
        ]
    )
    found = tables.device_rows(findings, "a")
    lines = [cells(line) for line in tables.device_markdown(found).splitlines()]
    assert lines[2] == ["All activities (5)", "−9.0 (−12.0 to −7.0)", "–"]
    assert lines[3] == ["Run (3)", "–", "+1.0"]


def test_names_that_read_alike_keep_their_own_figures(intake, metrics):
    alike = [entry.model_copy(update={"label": "Watch"}) for entry in intake.recordings]
    rows = tables.session_rows(
        intake.model_copy(update={"recordings": tuple(alike)}), metrics, Tolerance()
    )
    lines = tables.session_markdown(rows).splitlines()
    assert cells(lines[0]) == ["Figure", "Watch", "Watch"]
    assert cells(lines[2]) == ["Bias, bpm", "−2.3 (−3.1 to −1.0)", "+0.5 (+0.2 to +0.8)"]
    base = {"device": "a", "alignment": "settled", "unit": "bpm", "wearers": 2, "minutes": 9.0}
    base |= {"statistic": "bias", "sessions": 3}
    findings = FINDINGS.from_rows(
        [base | {"activity": at, "value": v} for at, v in (("hill-run", 1.0), ("hill_run", 2.0))]
    )
    found = tables.device_markdown(tables.device_rows(findings, "a")).splitlines()
    assert [cells(line) for line in found[2:]] == [
        ["Hill run (3)", "+1.0"],
        ["Hill run (3)", "+2.0"],
    ]


def test_sources_say_on_what_a_session_rests_but_not_who_wore_it(intake):
    at = pd.Timestamp("2026-03-04T17:00:00Z")
    said = sources.of_session(intake, at, "measure:0123456789abcdef")
    assert said == (
        "One session, one wearer, 4 March 2026; Watch | one, Watch two against Chest strap. "
        "Method 01234567."
    )
    assert "ada" not in said


def test_sources_of_a_device_count_sessions_wearers_and_days():
    sessions = SESSIONS.from_rows(
        [
            {
                "session": f"s-{day}",
                "title": "t",
                "wearer": wearer,
                "activity": "run",
                "started_at": pd.Timestamp(f"2026-03-0{day}T10:00:00Z"),
                "devices": 1,
                "clocks_aligned": 0,
                "clocks_left": 0,
            }
            for day, wearer in ((4, "ada"), (2, UNSTATED), (9, "ada"))
        ]
    )
    assert sources.of_sessions("Watch", sessions, "aggregate:89abcdef01234567") == (
        "Watch: 3 sessions, one named wearer, and one session without a named wearer, "
        "2 March 2026 to 9 March 2026. "
        "Method 89abcdef."
    )


@pytest.fixture
def charts():
    row = {"row": 0, "place": 0, "lower": -9, "upper": 9, "low": -1, "high": 1, "bias": 0.5}
    values = {"headings": {"0": "Desk"}, "left": -10, "right": 10}
    content = Content("Read it so.", {"rows": by_column([row])}, values)
    return {
        "forest": Picture("Does it fit?", "It fits 3 of 3.", content),
        "trend": Picture("Has it changed?", "No session could be compared.", None),
    }


def test_a_folder_holds_every_form(tmp_path, charts, rows):
    write_folder(tmp_path, charts, rows, "| a |\n", TEXT, "By the bench", Palette())
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == [
        "figures.csv",
        "figures.md",
        "forest-1080x1350.png",
        "forest-1920x1080.png",
        "forest.svg",
        "forest.vl.json",
        "sources.txt",
        "text.md",
        "text.txt",
        "words.json",
        "words.md",
    ]
    for name, size in (("1920x1080", (1920, 1080)), ("1080x1350", (1080, 1350))):
        header = (tmp_path / f"forest-{name}.png").read_bytes()[16:24]
        assert header == size[0].to_bytes(4) + size[1].to_bytes(4)
    words = json.loads((tmp_path / "words.json").read_text("utf-8"))
    assert words["trend"]["alt"] == "No session could be compared."
    assert words["forest"] == {
        "title": "Does it fit?",
        "caption": "Does it fit? Read it so. Two sessions.",
        "alt": "It fits 3 of 3.",
        "sources": "Two sessions.",
        "credit": "By the bench",
    }
    assert "Two sessions." in (tmp_path / "figures.md").read_text("utf-8")


def test_nothing_published_needs_anything_from_elsewhere(tmp_path, charts, rows):
    write_folder(tmp_path, charts, rows, "", TEXT, "", Palette())
    drawing = (tmp_path / "forest.svg").read_text("utf-8")
    assert drawing.count("@font-face") == len(WEIGHTS)
    assert set(re.findall(r"(?:href|src)=?[:(\"]*(\w+:)", drawing)) <= {"url:", "data:"}
    spec = json.loads((tmp_path / "forest.vl.json").read_text("utf-8"))
    assert spec["datasets"]["rows"][0]["bias"] == 0.5
    # It is drawn as it is, in the colours of the picture beside it.
    assert spec["config"]["background"] == Palette().paper and spec["params"]


def test_published_again_it_is_the_same_to_the_byte(tmp_path, charts, rows):
    for folder in ("one", "two"):
        write_folder(tmp_path / folder, charts, rows, "| a |\n", TEXT, "", Palette())
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name
