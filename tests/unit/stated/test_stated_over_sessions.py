"""Stated figures in a session's table, over sessions, and in averages; by hand."""

import numpy as np
import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.records.stated import Stated, StatedIntake
from strapline.ground.settings import OverAll
from strapline.ground.tables.recordings import NORMALISED
from strapline.ground.tables.sessions import METRICS, STATED
from strapline.method.agreement.standings import standings
from strapline.method.signal.trace import Trace
from strapline.method.stated.over_sessions import apps, counted
from strapline.method.stated.session_stated import session_stated

BEGAN = pd.Timestamp("2026-03-01T10:00:00Z")


def stated(device: str, has_export: bool, **figures: float) -> StatedIntake:
    return StatedIntake(
        recording=device,
        device=device,
        label=device.title(),
        device_kind="arm",
        placement="left_arm",
        firmware=None,
        figures=Stated(**figures),
        has_export=has_export,
    )


def of(*entries: StatedIntake, name: str = "s-1", activity: str = "run") -> pd.DataFrame:
    intake = session(strap(), recording("watch"), name=name, activity=activity, stated=entries)
    times = BEGAN + pd.to_timedelta(np.arange(600), unit="s")
    export = NORMALISED.frame(
        {
            "recording": ["watch"] * 600,
            "device": ["watch"] * 600,
            "ordinal": range(600),
            "time": times,
            "heart_rate_bpm": [120.0] * 600,
            "flag": ["kept"] * 600,
        }
    )
    rates = Trace(BEGAN.timestamp() + np.arange(600.0), np.full(600, 118.0))
    return session_stated(intake, {"watch": export}, rates)


def test_an_export_is_the_measure_where_there_is_one_and_else_the_strap():
    table = of(
        stated("watch", True, average_bpm=121, minimum_bpm=100),
        stated("band", False, average_bpm=121, maximum_bpm=125, minimum_bpm=100, duration=300),
    )
    assert table[["recording", "figure", "against", "difference"]].to_numpy().tolist() == [
        ["watch", "stated_average", "own_export", 1.0],
        ["watch", "stated_minimum", "own_export", -20.0],
        ["band", "stated_average", "the_strap", 3.0],
        ["band", "stated_maximum", "the_strap", 7.0],
    ]
    assert table["began"].dropna().unique().tolist() == [BEGAN]


def test_over_sessions_an_app_is_held_to_its_own_export():
    tables = [
        of(stated("watch", True, average_bpm=rate), name=f"s-{rate}") for rate in (119, 120, 126)
    ]
    (row,) = apps(STATED.joined(tables)).to_dict("records")
    assert (row["sessions"], row["lowest"], row["highest"]) == (3, -1, 6)
    assert row["mean"] == pytest.approx(5 / 3)
    # 119 for 120.0 is beyond rounding to whole beats, whichever way an app rounds.
    assert row["beyond_rounding"] == 2


def figures(*rows):
    same = {"wearer": "ada", "scope": "whole", "alignment": "settled", "unit": "bpm", "n": 600}
    named = ("session", "activity", "device", "metric", "value")
    # Only what has readings enough counts over sessions.
    rows += tuple((*key, "effective_n", 50.0) for key in dict.fromkeys(row[:3] for row in rows))
    return METRICS.from_rows(
        [same | dict(zip(named, row, strict=True)) | {"recording": row[2]} for row in rows]
    )


def test_in_averages_a_stated_session_counts_in_average_and_highest_alone():
    measured = figures(("a", "run", "band", "bias", 1.0), ("a", "run", "band", "mae", 4.0))
    more = counted(of(stated("band", False, average_bpm=121, maximum_bpm=128)))
    table = standings(measured, OverAll(), stated=more).astype({"metric": str}).set_index("metric")
    assert table.loc["bias", ["mean", "sessions", "as_stated"]].tolist() == [2.0, 2, 1]
    assert table.loc["maximum_difference", ["mean", "sessions", "as_stated"]].tolist() == [10, 1, 1]
    assert table.loc["mae", ["mean", "sessions", "as_stated"]].tolist() == [4.0, 1, 0]


def test_what_an_app_states_changes_no_other_devices_mean_over_activities():
    both = [
        (f"{activity}-{device}", activity, device, metric, 2.0)
        for activity in ("desk", "run")
        for device in ("watch", "band")
        for metric in ("bias", "mae")
    ]
    ring = stated("ring", False, average_bpm=121)
    each = [of(ring, name=f"s-{activity}", activity=activity) for activity in ("desk", "run")]
    alone = counted(STATED.joined(each))
    before, after = (
        standings(figures(*both), OverAll()),
        standings(figures(*both), OverAll(), stated=alone),
    )
    known = after[after["device"].astype(str) != "ring"].reset_index(drop=True)
    pd.testing.assert_frame_equal(known, before, check_categorical=False)
    own = after[after["device"].astype(str) == "ring"]
    assert set(own["activity"].astype(str)) == {"desk", "run"}


def test_a_strap_with_too_little_counts_as_nothing():
    table = of(stated("band", False, average_bpm=121, duration=3600))
    assert len(table) == 1
    assert counted(table).empty
    assert apps(table).empty
