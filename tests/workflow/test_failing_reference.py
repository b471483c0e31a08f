"""A strap that fails for much of a session: the session is shown, and is no evidence."""

import numpy as np
import pandas as pd
import pytest

from strapline.ground.tables.archive import SESSIONS
from strapline.ground.tables.sessions import METRICS

CARD = """\
activity: ride
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch}
%s"""
EXCLUDED = "exclude: [{from: 0, to: 400, reason: strap dry}]\n"


def rows(rates):
    clock = (f"2026-03-04T10:{s // 60:02}:{s % 60:02}Z" for s in range(len(rates)))
    lines = [f"{time},{rate}" for time, rate in zip(clock, rates, strict=True)]
    return "\n".join(["time,heart_rate", *lines]) + "\n"


@pytest.fixture
def inbox(tmp_path):
    folder = tmp_path / "inbox" / "s"
    folder.mkdir(parents=True)
    rate = np.round(120 + 25 * np.sin(np.arange(1200) / 60) + 5 * np.sin(np.arange(1200) / 17))
    watch = rate + np.random.default_rng(1).integers(-2, 3, 1200)
    rate[40:400] = 92  # held for six minutes
    (folder / "strap.csv").write_text(rows(rate.astype(int)))
    (folder / "watch.csv").write_text(rows(watch.astype(int)))
    return folder


def test_the_session_is_set_aside_with_the_share_and_can_be_mended(inbox, tmp_path, run_workflow):
    results = tmp_path / "results"
    tables = ("results/archive/sessions.parquet", "results/archive/metrics/first.parquet")
    (inbox / "session.yaml").write_text(CARD % "")
    run_workflow(tmp_path, *tables, "results/report/sessions/s.html")
    (row,) = SESSIONS.read(results / "archive/sessions.parquet").to_dict("records")
    assert "of its 1200 s (flat 36" in row["set_aside"]
    assert row["devices"] == 0
    metrics = METRICS.read(results / "archive/metrics").dropna(subset=["value"])
    assert set(metrics["scope"]) == {"uncut"}
    page = (results / "report/sessions/s.html").read_text()
    assert "The reference is missing or doubtful in 3" in page
    assert "strap in doubt" in page

    (inbox / "session.yaml").write_text(CARD % EXCLUDED)
    run_workflow(tmp_path, *tables)
    (row,) = SESSIONS.read(results / "archive/sessions.parquet").to_dict("records")
    assert pd.isna(row["set_aside"])
    metrics = METRICS.read(results / "archive/metrics").set_index(["scope", "metric"])
    assert (metrics.loc[("whole", "mae"), "value"] < 2).all()
