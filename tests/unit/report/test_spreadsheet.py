"""figures.csv, read back by Python's own reader."""

import csv

import pandas as pd

from strapline.ground.settings import Tolerance
from strapline.ground.tables.archive import PLACEMENTS, SESSIONS
from strapline.ground.tables.sessions import METRICS
from strapline.telling.report.spreadsheet import spreadsheet, write_spreadsheet


def metric(session, name, value):
    words = {"session": session, "wearer": "ada", "activity": "hill-run", "device": "watch"}
    words |= {"recording": "watch", "scope": "whole", "alignment": "settled", "metric": name}
    return words | {"value": value, "unit": "bpm", "n": 600}


def session(name, day):
    held = {"session": name, "title": name, "wearer": "A", "activity": "hill-run", "minutes": 20.04}
    counts = {"devices": 1, "clocks_aligned": 1, "clocks_left": 0}
    return held | counts | {"started_at": pd.Timestamp(f"2026-03-{day:02}T06:30Z")}


def test_a_row_a_session_and_device_the_earliest_first(tmp_path):
    metrics = [metric("a", "mae", 2.34567), metric("b", "mae", 3.0), metric("b", "bias", -1.0)]
    where = {"recording": "watch", "device": "watch", "placement": "left_wrist"}
    places = [{**where, "session": name, "firmware": f} for name, f in (("a", "=1"), ("b", None))]
    rows = spreadsheet(
        METRICS.from_rows(metrics),
        SESSIONS.from_rows([session("a", 9), session("b", 2)]),
        PLACEMENTS.from_rows(places),
        {"watch": "+Watch"},
        Tolerance(),
    )
    path = tmp_path / "figures.csv"
    write_spreadsheet(rows, str(path))
    with path.open(encoding="utf-8-sig", newline="") as file:
        first, second = csv.DictReader(file)
    assert [first["Session"], second["Session"]] == ["b", "a"]
    assert first["Begun, UTC"] == "2026-03-02 06:30" and first["Activity"] == "Hill run"
    assert (first["Placement"], first["Firmware"], first["Wearer"]) == ("left wrist", "", "A")
    assert (second["Device"], second["Firmware"]) == ("'+Watch", "'=1")
    assert (first["Bias, bpm"], second["Bias, bpm"]) == ("-1.0", "")
    assert second["Mean absolute error, bpm"] == "2.346" and second["Minutes"] == "20.0"


def test_an_archive_without_figures_has_its_headings(tmp_path):
    empty = METRICS.empty(), SESSIONS.empty(), PLACEMENTS.empty()
    path = tmp_path / "figures.csv"
    write_spreadsheet(spreadsheet(*empty, {}, Tolerance()), str(path))
    (line,) = path.read_text("utf-8-sig").splitlines()
    assert line.startswith("Session,")
