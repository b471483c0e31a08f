"""The pictures of many sessions: a mark for each row of their tables, and the tables' numbers."""

from dataclasses import replace

import pandas as pd
import pytest

from strapline.ground.tables.archive import FINDINGS, PLACEMENTS, SESSIONS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts import theme
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.chart import drawn_of
from strapline.telling.charts.forest import FOREST, reach
from strapline.telling.charts.heat import HEAT_TABLE
from strapline.telling.charts.sessions_map import SESSIONS_MAP
from strapline.telling.charts.trend import TREND
from unit.charts.drawings import drawing_of

LOOK = theme.Look()
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


def rows_of(chart, kind):
    """Rows of all layers of a kind of mark."""
    found = [layer for part in chart.spec["vconcat"] for layer in part["layer"]]
    return [row for one in found if one["mark"]["type"] == kind for row in one["data"]["values"]]


def words_of(chart):
    return [row["text"] for row in rows_of(chart, "text") if "text" in row]


def test_each_recording_with_an_error_is_worn_once(archive):
    worn = archive.worn
    assert len(worn) == 6
    assert list(worn.loc[worn["device"] == "watch-0", "firmware"]) == ["1.0", "1.0", "1.1", "1.1"]


def test_heat_table_has_a_cell_a_device_and_activity(archive):
    chart = HEAT_TABLE.of(archive, LOOK)
    said = words_of(chart)
    for text in ("4.0", "1.0", "4.5", "3.0", "3 sessions", "one session", "4 sessions"):
        assert text in said
    # watch-1 has never run.
    assert said.count("–") == said.count("no session") == 1
    assert "Strength Watch one (4.0 bpm, 3 sessions)" in chart.alt
    shades = {row["shade"] for row in rows_of(chart, "rect") if row["shade"]}
    assert len(shades) == 4


def test_heat_table_without_a_figure_over_all_has_the_activities_there_are(archive):
    standings = archive.standings[archive.standings["activity"] != ALL_ACTIVITIES]
    said = words_of(HEAT_TABLE.of(replace(archive, standings=standings), LOOK))
    assert {"Running", "Strength", "4.0", "1.0", "4.5"} <= set(said)
    assert "All" not in said


def test_sessions_map_counts_sessions_by_device_wrist_and_activity(archive):
    chart = SESSIONS_MAP.of(archive, LOOK)
    said = words_of(chart)
    counts = [text for text in said if text.isdigit() or text == "–"]
    # watch-0 on the left, on the right, watch-1 nowhere stated: running, then strength.
    assert counts == ["1", "3", "–", "–", "–", "2"]
    assert {"left wrist", "right wrist", "place not stated"} <= set(said)
    assert chart.alt == (
        "Of 6 combinations of device, place and activity, 3 have been tested, each in 1 to "
        "3 sessions; 3 have not."
    )


def test_forest_draws_each_estimate_and_interval_of_the_table(device):
    chart = FOREST.of(device, LOOK)
    spans = [row for row in rows_of(chart, "rule") if "end" in row]
    assert {(row["bpm"], row["end"]) for row in spans} >= {(-3.0, 1.0), (-12.0, -8.0), (6.0, 10.0)}
    # One activity has no interval; the span of a further session goes on to the left.
    assert len(spans) == 4
    (arrow,) = [row for row in rows_of(chart, "point") if "turn" in row]
    assert arrow["turn"] == -90
    biases = [row["bpm"] for row in rows_of(chart, "point") if "turn" not in row]
    assert biases == [-1.0, 2.0]
    assert chart.alt == (
        "Bias of Watch one: over all activities −1.0 (−3.0 to +1.0) bpm in 4 sessions and "
        "at running +2.0 bpm in one session."
    )


def test_forest_reaches_beyond_every_estimate():
    estimates = {ALL_ACTIVITIES: {"bias": {"value": 3.0}, "limit_upper": {"value": 30.0}}}
    low, high = reach(estimates)
    assert low < 0 and high > 30


def test_trend_has_a_mark_a_session_and_a_line_a_new_firmware(device):
    chart = TREND.of(device, LOOK)
    points = rows_of(chart, "point")
    assert sorted(row["mae"] for row in points) == [1.0, 2.0, 4.0, 9.0]
    third = pd.Timestamp("2026-03-03T10:00:00Z").timestamp() * 1000
    changes = rows_of(chart, "rule")
    assert {row["time"] for row in changes} == {third}
    # A panel for each of two activities.
    assert len(changes) == 2
    assert "firmware 1.1 from 2026-03-03" in chart.alt
    assert "4 sessions from 2026-03-01 to 2026-03-04" in chart.alt
    assert "1.0 to 9.0 bpm" in chart.alt


def test_trend_says_the_error_of_marks_that_stand_apart(archive):
    def said(archive):
        found = rows_of(TREND.of(DeviceTables("watch-0", archive), LOOK), "text")
        return sorted(row["text"] for row in found if "mae" in row)

    assert said(archive) == ["1.0", "2.0", "4.0", "9.0"]
    starts = archive.sessions["started_at"]
    soon = starts.where(starts.index != 1, starts.iloc[0] + pd.Timedelta("1h"))
    crowded = replace(archive, sessions=archive.sessions.assign(started_at=soon))
    assert len(said(crowded)) < len(said(archive))


def test_archive_pictures_are_the_same_to_the_byte(archive, device):
    def draw():
        charts = drawn_of(ARCHIVE_CHARTS, archive, LOOK) | drawn_of(DEVICE_CHARTS, device, LOOK)
        return [drawing_of(chart) for chart in charts.values()]

    assert draw() == draw()
