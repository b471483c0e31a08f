"""From the aligned grid to tables, and the cadence on it."""

import json

import numpy as np
import pandas as pd
import pytest

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Episodes, Tolerance
from strapline.ground.tables.recordings import CHANNELS
from strapline.ground.tables.sessions import ALIGNED
from strapline.method.episodes.cadence import cadence_at
from strapline.method.episodes.session_episodes import session_episodes
from strapline.method.episodes.session_sentences import session_sentences

START = pd.Timestamp("2026-03-04T17:00:00", tz="UTC")


def aligned(device, status="compared"):
    size = device.size
    return ALIGNED.frame(
        {
            "recording": np.full(size, "watch", dtype=object),
            "device": np.full(size, "watch", dtype=object),
            "alignment": np.full(size, "settled", dtype=object),
            "time": START + pd.to_timedelta(np.arange(size), unit="s"),
            "reference_bpm": np.full(size, 120.0),
            "device_bpm": device,
            "status": np.full(size, status, dtype=object),
            "stands_for_s": np.ones(size),
        }
    )


def test_episodes_stand_at_their_time(intake):
    device = np.full(300, 121.0)
    device[100:160] = 100
    episodes, courses = session_episodes(aligned(device), {}, intake, Episodes(), Tolerance())
    (row,) = episodes.to_dict("records")
    assert (row["kind"], row["start_s"], row["end_s"]) == ("reads_low", 100, 160)
    assert row["start"] == START + pd.Timedelta(seconds=100)
    assert row["end"] == START + pd.Timedelta(seconds=160)
    assert (row["share"], row["mean_error_bpm"]) == (pytest.approx(0.2), pytest.approx(-20))
    assert courses["on_track_s"].tolist() == [240]


def test_a_recording_never_compared_has_no_course(intake):
    rows = aligned(np.full(60, 121.0), "excluded: strap moved")
    episodes, courses = session_episodes(rows, {}, intake, Episodes(), Tolerance())
    assert len(episodes) == len(courses) == 0
    assert len(session_sentences(episodes, courses, intake)) == 0


def test_only_the_aligned_view_counts(intake):
    rows = aligned(np.full(60, 150.0)).assign(alignment="delay_out")
    episodes, _ = session_episodes(rows, {}, intake, Episodes(), Tolerance())
    assert len(episodes) == 0


def channels(time_s, cadence):
    size = len(time_s)
    return CHANNELS.frame(
        {
            "recording": np.full(size, "watch", dtype=object),
            "ordinal": np.arange(size),
            "time": pd.to_datetime(time_s, unit="s", utc=True),
            "cadence_per_min": cadence,
        }
    )


def clock(offset_s):
    return ClockDecision(recording="watch", offset_s=offset_s, decision="estimated", reason="")


def test_cadence_is_taken_at_each_second_of_the_settled_clock():
    """Samples two seconds apart, then none for 26 s, on a clock 3 s behind."""
    frame = channels([0, 2, 4, 30], [160, 164, 168, 150])
    found = cadence_at(np.arange(3.0, 9.0), frame, clock(3.0), 10)
    np.testing.assert_array_equal(found, [160, 162, 164, 166, 168, np.nan])


def test_the_reference_keeps_its_own_clock():
    frame = channels([0, 2], [160, 164])
    np.testing.assert_array_equal(cadence_at(np.arange(3.0), frame, None, 10), [160, 162, 164])


def test_cadence_drifts_with_its_recording():
    """A clock that loses 36 s an hour from 1000 s on: 1 s of 100 s, worked out by hand."""
    frame = channels([1000, 1100, 1200], [150, 160, 170])
    drifting = clock(0.0).model_copy(update={"drift_per_hour_s": 36.0, "holds_at_s": 1000.0})
    found = cadence_at(np.array([1000.0, 1101.0, 1202.0]), frame, drifting, 200)
    np.testing.assert_allclose(found, [150, 160, 170])


def test_a_file_without_cadence_has_none():
    assert cadence_at(np.arange(5.0), channels([0, 1], [np.nan, np.nan]), None, 10) is None


def test_what_is_no_fault_is_told_apart_to_the_second(intake):
    status = np.full(900, "compared", dtype=object)
    for start, end, word in (
        (0, 180, "before_recording"),
        (300, 340, "excluded: strap moved"),
        (400, 410, "reference_flat"),
        (450, 470, "clock_steps"),
        (500, 504, "no_device"),
        (600, 630, "no_device"),
        (780, 900, "after_recording"),
    ):
        status[start:end] = word
    rows = aligned(np.full(900, 121.0)).assign(status=status)
    tables = session_episodes(rows, {}, intake, Episodes(), Tolerance())
    assert tables[0][["kind", "start_s", "end_s"]].to_numpy().tolist() == [["no_value", 600, 630]]
    course = tables[1].iloc[0]
    names = (
        "before_s",
        "after_s",
        "left_out_s",
        "strap_in_doubt_s",
        "short_gaps_s",
        "clock_unknown_s",
    )
    assert [course[name] for name in names] == [180, 120, 40, 10, 4, 20]
    assert course["not_compared_s"] == 374
    assert course["began_s"] == course["first_lock_s"] == 180
    texts = session_sentences(*tables, intake)
    course_told = texts.loc[texts["form"] == "course", "text"].iloc[0]
    assert course_told.startswith("It followed the strap to 10:00 (67 % into the session)")
    assert "It found the strap’s rate at once and held it for 30 s and more." in set(texts["text"])
    told = texts[texts["form"].isin(["line", "aside"])]["text"].tolist()
    assert told[-6:] == [
        "Not compared, through no fault of the device: 3 min before its recording began and 2 min "
        "after its recording ended.",
        "Nor were 40 s left out by the card, which says ‘strap moved’ and 20 s in which nothing "
        "tells its clock.",
        "Nor were 10 s in which the strap was missing or in doubt.",
        "Not compared, through no fault of the device: 4 s in gaps too short to be a fault.",
        "Not tested, as the heart rate hardly moved: whether it was stuck on one value and whether "
        "it was late.",
        "Not tested, as the files hold no cadence: whether it showed the cadence.",
    ]


@pytest.mark.parametrize(
    ("every_s", "untested"),
    [
        (1, {"follows_cadence"}),
        (8, {"follows_cadence", "spike"}),
        (15, {"follows_cadence", "spike", "stuck"}),
        (60, {"follows_cadence", "spike", "stuck", "slow_to_follow"}),
    ],
)
def test_what_a_sparse_recording_cannot_show_is_not_looked_for(intake, every_s, untested):
    rows = aligned(np.full(900, 121.0)).assign(stands_for_s=float(every_s))
    rows["reference_bpm"] = np.linspace(100, 140, 900)
    _, courses = session_episodes(rows, {}, intake, Episodes(), Tolerance())
    assert set(json.loads(courses["not_testable"].iloc[0])) == untested
