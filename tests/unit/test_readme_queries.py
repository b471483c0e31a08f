"""The questions of the page Data and of README, run as they stand there."""

import contextlib
import io
import re

import numpy as np
import pandas as pd
import pytest

from strapline.ground.tables.contracts import CONTRACTS
from strapline.ground.tables.sessions import ALIGNED, EPISODES, METRICS
from strapline.telling.report.queries import QUERIES


def aligned(session_start, errors):
    """One device in one view, a second a row, that far from a reference at 120."""
    count = len(errors)
    return ALIGNED.frame(
        {
            "recording": ["watch"] * count,
            "device": ["watch"] * count,
            "alignment": ["settled"] * count,
            "time": pd.date_range(session_start, periods=count, freq="s", unit="ms"),
            "reference_bpm": np.full(count, 120.0),
            "device_bpm": 120.0 + np.array(errors),
            "status": ["compared"] * (count - 1) + ["excluded"],
            "stands_for_s": np.ones(count),
        }
    )


def metric(session, value):
    words = {"session": session, "wearer": "ada", "activity": "run", "device": "watch"}
    more = {"recording": "watch", "scope": "whole", "alignment": "settled", "metric": "mae"}
    return words | more | {"value": value, "unit": "bpm", "n": 600}


def episode(session, start_s, end_s):
    moment = pd.Timestamp("2026-03-02T10:00Z")
    words = {"session": session, "wearer": "ada", "activity": "run", "device": "watch"}
    words |= {"recording": "watch", "kind": "spike", "evidence": "It rose.", "share": 0.1}
    times = {"start": moment, "end": moment, "start_s": start_s, "end_s": end_s}
    return words | times | {"on_track_after_s": 0}


@pytest.fixture
def printed(tmp_path, monkeypatch):
    """A function: what a program prints in a folder with results of two sessions."""
    for session, errors in {"s-1": [0, 31, -40, 50], "s-2": [5, 30, 33, 0]}.items():
        folder = tmp_path / "results" / "sessions" / session
        folder.mkdir(parents=True)
        ALIGNED.write(aligned("2026-03-02T10:00Z", errors), folder / "aligned.parquet")
    rows = {
        METRICS: ([metric("s-1", 2.0)], [metric("s-2", 6.0)]),
        EPISODES: ([episode("s-1", 3, 9), episode("s-1", 20, 30)], [episode("s-2", 0, 12)]),
    }
    for table, parts in rows.items():
        folder = tmp_path / "results" / "archive" / table.name
        folder.mkdir(parents=True)
        for name, own in zip(("first", "from-s-2"), parts, strict=True):
            table.write(table.from_rows(own), folder / f"{name}.parquet")
    monkeypatch.chdir(tmp_path)

    def run(code):
        with contextlib.redirect_stdout(io.StringIO()) as said:
            exec(code, {})
        return said.getvalue()

    return run


def test_readme_has_the_first_question_of_the_page(repository):
    (code,) = re.findall(r"```python\n(.*?)```", (repository / "README.md").read_text(), re.DOTALL)
    assert code == QUERIES[0].code


def test_each_question_is_answered_by_the_library_it_is_written_for(printed):
    """Means of 2 and 6. More than 30 bpm off and compared: 31 and -40 of the first session, 33 of
    the second. Faults of 6, 10 and 12 s in two sessions."""
    answers = {"pandas": r"\b4\.0\b", "DuckDB": r"watch +│ +3\b", "Polars": r"spike +┆ 2 +┆ 28\b"}
    assert [query.reads for query in QUERIES] == list(answers)
    for query in QUERIES:
        pytest.importorskip(query.reads.lower())
        assert re.search(answers[query.reads], printed(query.code))


def test_every_table_is_read_by_each_library(tmp_path):
    """Also where it has no row, for an archive begins so."""
    duckdb, polars = pytest.importorskip("duckdb"), pytest.importorskip("polars")
    for table in CONTRACTS:
        table.write(table.empty(), tmp_path / f"{table.name}.parquet")
        files = str(tmp_path / f"{table.name}.parquet")
        names = table.column_names
        assert list(duckdb.sql(f"SELECT * FROM '{files}'").columns) == names
        assert polars.read_parquet(files).columns == names
        assert list(pd.read_parquet(files).columns) == names
