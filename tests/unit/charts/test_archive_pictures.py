"""The pictures of many sessions: a mark for each row of their tables, and the tables' numbers."""

import re
from dataclasses import replace

import pandas as pd
import pytest

from strapline.ground.tables.archive import (
    COMPARISONS,
    DEVICES,
    FINDINGS,
    PAIRED,
    PLACEMENTS,
    SESSIONS,
    STANDINGS,
)
from strapline.ground.tables.sessions import WHOLE_SESSIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.running.stages import archive_chart
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.forest import FOREST
from strapline.telling.charts.head_to_head import HEAD_TO_HEAD, MOST
from strapline.telling.charts.ranking import RANKING
from strapline.telling.charts.sessions_map import SESSIONS_MAP
from strapline.telling.charts.standings import STANDINGS as STANDINGS_PICTURE
from strapline.telling.charts.trend import TREND
from unit.charts.drawings import drawing_of, rows

BENCH = ["watch-0", "watch-1"]
TABLES = {
    "whole_sessions": WHOLE_SESSIONS,
    "standings": STANDINGS,
    "findings": FINDINGS,
    "sessions": SESSIONS,
    "comparisons": COMPARISONS,
    "paired": PAIRED,
    "placements": PLACEMENTS,
    "devices": DEVICES,
}
BIASES = [(ALL_ACTIVITIES, -1.0, -3.0, 1.0, 4), ("running", 2.0, None, None, 1)]


@pytest.fixture(scope="module")
def findings():
    rows = [
        {
            "device": "watch-0",
            "activity": activity,
            "alignment": "settled",
            "statistic": statistic,
            "value": value + shift,
            "low": None if low is None else low + shift,
            "high": None if high is None else high + shift,
            "unit": "bpm",
            "sessions": sessions,
            "wearers": 2,
            "minutes": 30.0,
        }
        for activity, value, low, high, sessions in BIASES
        for statistic, shift in (("bias", 0), ("limit_lower", -9), ("limit_upper", 9))
    ]
    further = {**rows[0], "statistic": "bias_next_session", "low": -900.0, "high": 5.0}
    return FINDINGS.from_rows([*rows, further])


@pytest.fixture(scope="module")
def archive(of_archive, findings):
    """s-1 to s-4 on four days; watch-0 got its second firmware for the third."""
    of_first = {"recording": "watch-0", "device": "watch-0", "placement": "left_wrist"}
    of_second = {"recording": "watch-1", "device": "watch-1", "placement": "other"}
    rows = [
        {"session": f"s-{number}", **entry}
        for number in range(1, 5)
        for entry in (of_first | {"firmware": "1.0" if number < 3 else "1.1"}, of_second)
    ]
    sessions = SESSIONS.from_rows(
        [
            {
                "session": f"s-{number}",
                "title": f"s-{number}",
                "wearer": "w",
                "activity": "strength",
                "started_at": pd.Timestamp(f"2026-03-0{number}T10:00:00Z"),
                "devices": 2,
                "clocks_aligned": 0,
                "clocks_left": 0,
            }
            for number in range(1, 5)
        ]
    )
    return of_archive(placements=PLACEMENTS.from_rows(rows), sessions=sessions, findings=findings)


@pytest.fixture(scope="module")
def device(archive):
    return DeviceTables("watch-0", archive)


def test_each_recording_with_an_error_is_worn_once(archive):
    worn = archive.worn
    assert len(worn) == 6
    assert list(worn.loc[worn["device"] == "watch-0", "firmware"]) == ["1.0", "1.0", "1.1", "1.1"]


def test_ranking_has_a_cell_a_device_and_activity(archive):
    """With the interval that FINDINGS have, if they have one."""
    found = archive.findings.iloc[0].to_dict() | {"statistic": "mae_mean"}
    strength = found | {"activity": "strength", "low": 3.0, "high": 8.0}
    running = found | {"activity": "running", "low": None, "high": None}
    findings = FINDINGS.from_rows([strength, running])
    picture = RANKING.of(replace(archive, findings=findings), BENCH)
    cells = rows(picture, "cells", "said")
    assert [(row["said"], row.get("counted")) for row in cells] == [
        ("3.0", "4×"),
        ("1.0", "1×"),
        ("4.0", "3×"),
        ("4.5", "2×"),
        ("–", None),  # watch-1 has never run.
        ("4.5", "2×"),
    ]
    assert [row["said"] for row in rows(picture, "heads", "said")] == ["All", "Running", "Strength"]
    assert "Strength: Watch one (4.0 bpm, 3 sessions)" in picture.alt
    assert (
        picture.title
        == "Smallest error so far, perhaps by chance: Watch one, 3.0 bpm over all activities"
    )
    scaled = [row for row in cells if row.get("at") is not None]
    assert [(row.get("low"), row.get("high")) for row in scaled if row.get("low")] == [
        (pytest.approx(3 / 7, abs=1e-3), pytest.approx(8 / 7, abs=1e-3))
    ]
    assert [row["place"] for row in scaled] == [0, 0, 0, 1, 1]
    # The largest mean is 4.5 bpm, and under each column stands where its scale ends.
    scale = [(row["column"], row["at"], row["said"]) for row in rows(picture, "scale", "said")]
    assert scale == [(c, at, said) for c in range(3) for at, said in ((0, "0"), (1, "7"))]
    assert scaled[2]["at"] == pytest.approx(4 / 7, abs=1e-3)


def test_ranking_without_a_figure_over_all_tells_of_the_activity_with_most_sessions(archive):
    standings = archive.standings[archive.standings["activity"] != ALL_ACTIVITIES]
    picture = RANKING.of(replace(archive, standings=standings), BENCH)
    assert [row["said"] for row in rows(picture, "heads", "said")] == ["Running", "Strength"]
    assert picture.title == (
        "Smallest error so far, perhaps by chance: Watch one, 4.0 bpm in 3 strength sessions"
    )
    one = standings[standings["activity"] == "running"]
    alone = one.assign(activity="not stated")
    picture = RANKING.of(replace(archive, standings=alone), BENCH)
    assert picture.title == "Watch one was off by 1.0 bpm in one session"


def test_ranking_names_no_winner_over_activities_that_one_of_them_contradicts(archive):
    """The second watch runs closer, but further off in strength and over all."""
    run = archive.standings[archive.standings["activity"] == "running"]
    standings = pd.concat([archive.standings, run.assign(device="watch-1", mean=0.5)])
    picture = RANKING.of(replace(archive, standings=standings), BENCH)
    assert picture.title == (
        "Smallest error so far, perhaps by chance: Watch one at 1 of 2 activities, Watch two at 1"
    )
    # As printed both ran alike.
    alike = pd.concat([archive.standings, run.assign(device="watch-1", mean=0.96)])
    picture = RANKING.of(replace(archive, standings=alike), BENCH)
    assert (
        picture.title
        == "Smallest error so far, perhaps by chance: Watch one, 3.0 bpm over all activities"
    )


def test_ranking_leaves_chance_aside_where_the_first_was_closer_than_every_other(archive):
    """Worn together the first was closer by 1.5 to 4.0 bpm, for all pairs together."""
    turned = archive.comparisons.assign(difference=-2.5, low=-4.0, high=-1.5)
    title = RANKING.of(replace(archive, comparisons=turned), BENCH).title
    assert title == "Smallest error so far: Watch one, 3.0 bpm over all activities"
    unsure = replace(archive, comparisons=turned.assign(high=0.5))
    assert "perhaps by chance" in RANKING.of(unsure, BENCH).title


def test_ranking_says_which_activities_count_where_not_all_do(archive):
    counts = archive.standings["activity"].eq("strength")
    picture = RANKING.of(replace(archive, standings=archive.standings.assign(over_all=counts)), [])
    assert (
        picture.title
        == "Smallest error so far, perhaps by chance: Watch one, 3.0 bpm over strength"
    )


def test_a_name_in_a_grid_is_not_cut_but_has_its_mark_explained(archive):
    devices = archive.devices.assign(label="Watch one (read from a picture)")
    for chart in (RANKING, SESSIONS_MAP):
        picture = chart.of(replace(archive, devices=devices), BENCH)
        assert rows(picture, "names", "lines")[0]["lines"][0] == "Watch one*"
        assert "Watch one*: read from a picture." in picture.content.subtitle
    picture = STANDINGS_PICTURE.of(replace(archive, devices=devices), BENCH)
    assert set(picture.content.values["names"]) == {"Watch one*"}
    assert picture.content.subtitle.endswith("Watch one*: read from a picture.")


def test_sessions_map_counts_sessions_by_device_wrist_and_activity(archive):
    chart = SESSIONS_MAP.of(archive, BENCH)
    # watch-0 on the left, on the right, watch-1 nowhere stated: running, then strength.
    counts = [row["said"] for row in rows(chart, "cells", "said")]
    assert counts == ["1", "3", "–", "–", "–", "2"]
    assert [row["lines"][1] for row in rows(chart, "names", "lines")] == [
        "left wrist",
        "right wrist",
        "place not stated",
    ]
    assert chart.alt == (
        "3 of 6 combinations of device, place and activity have been tested, in 1 to 3 sessions."
    )


def test_head_to_head_has_a_row_a_pair_and_a_dot_a_session(archive):
    picture = HEAD_TO_HEAD.of(archive, BENCH)
    # What is apart by more than chance comes first.
    named = [(row["left"], row["right"], row["said"]) for row in rows(picture, "rows", "row")]
    assert named == [
        ("Watch one", "Watch two", "by 2.5 bpm (0.5 to 4.0)"),
        ("Watch one", "watch-2", "by 7.0 bpm"),
    ]
    # Left of zero, and in its colour, where the one on the left was closer.
    names = ("difference", "low", "high", "place")
    drawn = [tuple(row.get(name) for name in names) for row in rows(picture, "rows", "row")]
    assert drawn == [(2.5, 0.5, 4, 1), (-7, None, None, 0)]
    dots = [(r["row"], r["difference"], r["place"]) for r in rows(picture, "sessions", "row")]
    assert dots == [(0, 4, 1), (0, 2, 1), (0, 3, 1), (0, -1, 0), (1, -7, 0)]
    assert picture.content.values["reach"] >= 7
    assert picture.title == "Watch two was closer than Watch one in 3 of 4 sessions"
    assert "Watch two was closer than Watch one by 2.5 bpm (0.5 to 4.0) in 4" in picture.alt


def test_head_to_head_says_an_interval_from_the_side_of_the_closer(archive):
    turned = archive.comparisons.assign(difference=-2.5, low=-4.0, high=0.5)
    picture = HEAD_TO_HEAD.of(replace(archive, comparisons=turned), BENCH)
    assert rows(picture, "rows", "row")[0]["said"] == "by 2.5 bpm (−0.5 to 4.0)"


def test_head_to_head_says_where_chance_may_be_all_there_is(archive):
    maybe = archive.comparisons.assign(low=-0.5)
    assert HEAD_TO_HEAD.of(replace(archive, comparisons=maybe), BENCH).title == (
        "Watch two was closer than Watch one in 3 of 4 sessions, which may be chance"
    )
    once = maybe.iloc[[0]].assign(sessions=1, closer=0.0)
    assert HEAD_TO_HEAD.of(replace(archive, comparisons=once), BENCH).title == (
        "Watch two was closer than Watch one in the one session of both, which may be chance"
    )


def test_head_to_head_says_how_many_pairs_it_leaves_out(archive):
    one = archive.comparisons.to_dict("records")[0]
    many = [one | {"device_b": f"watch-{number}"} for number in range(1, MOST + 3)]
    full = replace(archive, comparisons=COMPARISONS.from_rows(many))
    picture = HEAD_TO_HEAD.of(full, BENCH)
    assert len(rows(picture, "rows", "row")) == MOST
    assert picture.content.subtitle.endswith(f"The clearest {MOST} of {MOST + 2} pairs.")


def test_forest_draws_each_estimate_and_interval_of_the_table(device):
    chart = FOREST.of(device, BENCH)
    names = ("lower", "upper", "low", "high", "bias")
    found = [tuple(row[name] for name in names) for row in rows(chart, "rows", "bias")]
    # One activity has no interval.
    assert found == [(-10, 8, -3, 1, -1), (-7, 11, None, None, 2)]
    words = ("label", "sessions", "said", "limits")
    assert [tuple(row[name] for name in words) for row in rows(chart, "rows", "bias")] == [
        ("All activities", "4 sessions", "−1.0 (−3.0 to +1.0)", "limits −10.0 to +8.0"),
        ("Running", "one session", "+2.0", "limits −7.0 to +11.0"),
    ]
    assert chart.alt == (
        "Bias of Watch one: −1.0 (−3.0 to +1.0) bpm in 4 sessions over all activities and "
        "+2.0 bpm in one running session."
    )


def test_forest_says_between_which_biases_it_lies(archive, findings, device):
    assert FOREST.of(device, BENCH).title == "Watch one: bias so far −1.0 bpm in 4 sessions"
    other = findings[findings["activity"] == "running"].assign(activity="strength", value=-3.0)
    more = replace(archive, findings=pd.concat([findings, other], ignore_index=True))
    assert FOREST.of(DeviceTables("watch-0", more), BENCH).title == (
        "Watch one: bias so far from −3.0 bpm at strength to +2.0 bpm at running"
    )


def test_forest_reaches_beyond_every_estimate(device):
    values = FOREST.of(device, BENCH).content.values
    assert values["left"] < -10 and values["right"] > 11


def test_trend_has_a_mark_a_session_and_a_line_a_new_firmware(device):
    chart = TREND.of(device, BENCH)
    marks = rows(chart, "marks", "mae")
    assert sorted(row["mae"] for row in marks) == [1.0, 2.0, 4.0, 9.0]
    assert {row["panel"] for row in marks} == {"running", "strength"}
    third = pd.Timestamp("2026-03-03T10:00:00Z").timestamp() * 1000
    assert rows(chart, "changes", "time") == [{"time": third, "version": "1.1"}]
    assert "firmware 1.1 from 2026-03-03" in chart.alt
    assert "4 sessions from 2026-03-01 to 2026-03-04" in chart.alt
    assert "1.0 to 9.0 bpm" in chart.alt


def test_trend_is_dated_to_its_last_session(archive):
    """Of 55 days, and a little more, every eighth is marked."""
    starts = pd.to_datetime(
        [f"2026-{day}T10:00:00Z" for day in ("03-01", "03-09", "04-02", "04-24")]
    )
    own = DeviceTables(
        "watch-0", replace(archive, sessions=archive.sessions.assign(started_at=starts))
    )
    said = re.findall(r">(\d+ [A-Z][a-z]{2})<", drawing_of(TREND, TREND.of(own, BENCH)))
    marked = pd.to_datetime([f"{day} 2026" for day in said], format="%d %b %Y", utc=True)
    assert abs(starts.max() - marked.max()) < pd.Timedelta(days=8)


def test_trend_joins_sessions_of_one_wearer_only_and_names_none(archive, device):
    assert {row["wearer"] for row in rows(TREND.of(device, BENCH), "marks", "mae")} == {0}
    wearers = ["ada", "bo", "ada", "bo"]
    two = replace(archive, sessions=archive.sessions.assign(wearer=wearers))
    picture = TREND.of(DeviceTables("watch-0", two), BENCH)
    assert [row["wearer"] for row in rows(picture, "marks", "mae")] == [0, 1, 0, 1]
    assert "ada" not in picture.source


def test_archive_pictures_are_the_same_to_the_byte(archive, device):
    def draw():
        kinds = [(ARCHIVE_CHARTS, archive), (DEVICE_CHARTS, device)]
        return [
            drawing_of(chart, chart.of(tables, BENCH))
            for charts, tables in kinds
            for chart in charts
        ]

    assert draw() == draw()


def test_a_strap_that_was_only_looked_at_itself_has_no_folder(tmp_path):
    """Two straps in one session give a finding on each, and no device was compared."""
    own = {"device": "strap", "activity": "ride", "alignment": "settled", "unit": "bpm"}
    own |= {"statistic": "reference_error", "sessions": 1, "wearers": 1, "minutes": 5.0}
    tables = {}
    for name, table in TABLES.items():
        tables[name] = str(tmp_path / f"{name}.parquet")
        rows = FINDINGS.from_rows([own]) if table is FINDINGS else table.empty()
        table.write(rows, tables[name])
    places = {"charts": str(tmp_path / "charts"), "device_charts": str(tmp_path / "devices")}
    archive_chart.run(**places, bench="[]", **tables)
    assert list((tmp_path / "devices").iterdir()) == []
