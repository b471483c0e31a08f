"""The archive's tables as CSV, read back by Python's own reader and by pandas."""

import csv
import io

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from strapline.report import data
from strapline.report.data import join_csv, kind, write_csv
from strapline.tables.archive import COMPARISONS, SESSIONS
from strapline.tables.contracts import CONTRACTS

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


def as_csv(frame, table):
    source, file = io.BytesIO(), io.BytesIO()
    pq.write_table(pa.Table.from_pandas(frame, schema=table.schema), source)
    write_csv([source], table, file)
    return file.getvalue()


def test_a_table_comes_back_from_csv_as_it_was():
    content = as_csv(sessions(TEXTS), SESSIONS)
    first, second = list(csv.DictReader(io.StringIO(content.decode())))[:2]
    assert list(first) == SESSIONS.column_names
    assert (first["minutes"], first["started_at"]) == ("", "")
    assert float(second["minutes"]) == 0.1 + 0.2
    assert pd.Timestamp(second["started_at"]) == pd.Timestamp("2026-02-01T10:00:00.250Z")
    assert len(pd.read_csv(io.BytesIO(content))) == len(TEXTS)


def test_no_text_is_a_formula_to_a_spreadsheet():
    # What begins so may be run: OWASP's page on CSV injection (from memory).
    titles = [row["title"] for row in csv.DictReader(io.StringIO(_text(TEXTS)))]
    assert titles == [f"'{text}" if text[0] in "=+-@" else text for text in TEXTS]


def test_numbers_below_zero_stay_numbers():
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


def test_a_table_written_in_portions_is_the_table(monkeypatch):
    before = as_csv(sessions(TEXTS), SESSIONS)
    monkeypatch.setattr(data, "ROWS_AT_ONCE", 2)
    assert as_csv(sessions(TEXTS), SESSIONS) == before


def test_parts_of_a_table_become_the_table(tmp_path):
    paths = [tmp_path / str(number) for number in range(3)]
    for path, texts in zip(paths, (TEXTS[:5], [], TEXTS[5:]), strict=True):
        path.write_bytes(as_csv(sessions(texts), SESSIONS))
    file = io.BytesIO()
    join_csv(paths, file)
    titles = [row["title"] for row in csv.DictReader(io.StringIO(file.getvalue().decode()))]
    assert titles == [row["title"] for row in csv.DictReader(io.StringIO(_text(TEXTS)))]


def test_the_same_table_gives_the_same_bytes():
    assert as_csv(sessions(TEXTS), SESSIONS) == as_csv(sessions(TEXTS), SESSIONS)


def test_every_kind_of_column_has_a_word():
    kinds = {kind(column) for table in CONTRACTS for column in table.columns}
    assert kinds == {"text", "number", "whole number", "true or false", "time, UTC"}


def _text(titles):
    return as_csv(sessions(titles), SESSIONS).decode()
