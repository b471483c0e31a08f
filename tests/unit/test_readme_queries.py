"""The queries of the tables in README and DEVELOPERS, run as they stand there."""

import contextlib
import io
import re

import numpy as np
import pandas as pd
import pytest

from strapline.ground.tables.sessions import ALIGNED, METRICS


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


@pytest.fixture
def printed(repository, tmp_path, monkeypatch):
    for session, errors in {"s-1": [0, 31, -40, 50], "s-2": [5, 30, 33, 0]}.items():
        folder = tmp_path / "results" / "sessions" / session
        folder.mkdir(parents=True)
        ALIGNED.write(aligned("2026-03-02T10:00Z", errors), folder / "aligned.parquet")
    parts = tmp_path / "results" / "archive" / "metrics"
    parts.mkdir(parents=True)
    METRICS.write(METRICS.from_rows([metric("s-1", 2.0)]), parts / "first.parquet")
    METRICS.write(METRICS.from_rows([metric("s-2", 6.0)]), parts / "from-s-2.parquet")
    monkeypatch.chdir(tmp_path)
    names = ("README.md", "DEVELOPERS.md")
    told = "\n".join((repository / name).read_text("utf-8") for name in names)
    found = []
    for code in re.findall(r"```python\n(.*?)```", told, re.DOTALL):
        with contextlib.redirect_stdout(io.StringIO()) as said:
            exec(code, {})
        found.append(said.getvalue())
    return found


def test_the_archives_figures_are_summed_up(printed):
    assert "4.0" in printed[0]  # the mean of 2 and 6


def test_seconds_far_off_are_found_in_the_sessions_own_files(printed):
    """More than 30 bpm off and compared: 31 and -40 of the first session, 33 of the second."""
    assert printed[1].split() == ["device", "watch", "3"]
