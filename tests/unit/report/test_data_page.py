"""The archive's tables as CSV, read back by Python's own reader and by pandas."""

import csv
import io
import re
from html import unescape

import pandas as pd
import pytest

from strapline.ground.settings import Presentation
from strapline.ground.tables.archive import COMPARISONS, SESSIONS
from strapline.ground.tables.contracts import CONTRACTS
from strapline.telling.report import data
from strapline.telling.report.data import DATA, kind, write_csv
from strapline.telling.report.queries import QUERIES
from strapline.telling.report.site import rendered

TEXTS = ["=1+1", "+1", "-1", "@SUM(A1)", 'said "so", twice', "two\nlines", "plain"]


def sessions(titles):
    rows = [
        {
            "session": f"s-{place}",
            "title": title,
            "wearer": "w",
            "activity": "run",
            "started_at": pd.Timestamp("2026-02-01T10:00:00.250", tz="UTC") if place else None,
            "minutes": 0.1 + 0.2 if place else None,
            "devices": 2,
            "clocks_aligned": 1,
            "clocks_left": 1,
        }
        for place, title in enumerate(titles)
    ]
    names = SESSIONS.column_names
    return SESSIONS.frame({name: [row.get(name) for row in rows] for name in names})


@pytest.fixture
def as_csv(tmp_path):
    """What is written of a frame, as bytes."""

    def written(frame, table):
        source, path = tmp_path / f"{table.name}.parquet", tmp_path / f"{table.name}.csv"
        table.write(frame, source)
        write_csv(str(source), str(path))
        return path.read_bytes()

    return written


def test_a_table_comes_back_from_csv_as_it_was(as_csv):
    content = as_csv(sessions(TEXTS), SESSIONS)
    first, second = list(csv.DictReader(io.StringIO(content.decode())))[:2]
    assert list(first) == [name for name in SESSIONS.column_names if name != "wearer"]
    assert (first["minutes"], first["started_at"]) == ("", "")
    assert float(second["minutes"]) == 0.1 + 0.2
    assert pd.Timestamp(second["started_at"]) == pd.Timestamp("2026-02-01T10:00:00.250Z")
    assert len(pd.read_csv(io.BytesIO(content))) == len(TEXTS)


def test_no_text_is_a_formula_to_a_spreadsheet(as_csv):
    content = as_csv(sessions(TEXTS), SESSIONS)
    # What begins so may be run: OWASP's page on CSV injection (from memory).
    titles = [row["title"] for row in csv.DictReader(io.StringIO(content.decode()))]
    assert titles == [f"'{text}" if text[0] in "=+-@" else text for text in TEXTS]


def test_numbers_below_zero_stay_numbers(as_csv):
    frame = COMPARISONS.empty()
    assert as_csv(frame, COMPARISONS).decode().count("\n") == 1
    row = {
        column.name: 0 if str(column.type) in ("int64", "double") else "x"
        for column in COMPARISONS.columns
    }
    row |= {"difference": -1.5, "confounded": True}
    content = as_csv(COMPARISONS.from_rows([row]), COMPARISONS).decode()
    (told,) = csv.DictReader(io.StringIO(content))
    assert (told["difference"], told["confounded"]) == ("-1.5", "true")


def test_a_table_written_in_portions_is_the_table(as_csv, monkeypatch):
    before = as_csv(sessions(TEXTS), SESSIONS)
    monkeypatch.setattr(data, "ROWS_AT_ONCE", 2)
    assert as_csv(sessions(TEXTS), SESSIONS) == before


def test_the_same_table_gives_the_same_bytes(as_csv):
    assert as_csv(sessions(TEXTS), SESSIONS) == as_csv(sessions(TEXTS), SESSIONS)


def test_every_kind_of_column_has_a_word():
    kinds = {kind(column) for table in CONTRACTS for column in table.columns}
    assert kinds == {"text", "number", "whole number", "true or false", "time, UTC"}


def test_a_program_stands_on_the_page_as_it_is_run():
    html = rendered(DATA, Presentation(), DATA.context([]))
    shown = [unescape(code) for code in re.findall(r"<pre><code>(.*?)</code>", html, re.DOTALL)]
    assert shown == [query.code for query in QUERIES]
