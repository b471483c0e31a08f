import datetime as dt

import numpy as np
import pandas as pd
import pytest

from intakes import recording
from strapline.ground.records.card import ClockNote
from strapline.ground.settings import Plausibility, RrIntervals
from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.method.signal.normalised import marked_at, normalise

START = pd.Timestamp("2026-07-01T10:00:00Z")


def samples(seconds, rates, column="time"):
    times = [START + pd.Timedelta(seconds=s) for s in seconds] if column == "time" else seconds
    return SAMPLES.frame(
        {
            "ordinal": range(len(rates)),
            "stream": [1] * len(rates),
            column: times,
            "heart_rate_bpm": rates,
        }
    )


def beats(rr_ms, has_clock=True):
    end = np.cumsum(rr_ms) / 1000
    columns = {
        "ordinal": range(len(rr_ms)),
        "stream": [1] * len(rr_ms),
        "elapsed_s": end,
        "rr_ms": rr_ms,
    }
    if has_clock:
        columns["time"] = [START + pd.Timedelta(milliseconds=round(s * 1000)) for s in end]
    return BEATS.frame(columns)


def normalised(sample_frame=None, beat_frame=None, **facts):
    return normalise(
        SAMPLES.empty() if sample_frame is None else sample_frame,
        BEATS.empty() if beat_frame is None else beat_frame,
        recording(**facts),
        Plausibility(),
        RrIntervals(),
    )


def test_samples_are_put_in_order_and_none_is_dropped():
    result = normalised(samples([2, 0, 1, 1], [62, 60, 0, 61]))
    assert list(result.frame["ordinal"]) == [1, 2, 3, 0]
    assert list(result.frame["flag"]) == ["kept", "zero", "kept", "kept"]
    assert result.samples.model_dump() == {"total": 4, "used": 3, "left_out": {"zero": 1}}


def test_local_time_is_read_in_its_zone():
    note = ClockNote(time_zone="Europe/Lisbon")
    result = normalised(samples([0], [60]), clock="local", clock_note=note)
    assert result.frame["time"].item() == START - pd.Timedelta(hours=1)


def test_elapsed_time_counts_from_the_stated_start():
    note = ClockNote(starts_at=dt.datetime(2026, 7, 1, 12, tzinfo=dt.UTC))
    frame = samples([0, 1.5, 1e300], [60, 61, 62], column="elapsed_s")
    result = normalised(frame, clock="elapsed", clock_note=note)
    assert list(result.frame["time"].dropna()) == [
        pd.Timestamp("2026-07-01T12:00:00Z"),
        pd.Timestamp("2026-07-01T12:00:01.5Z"),
    ]
    assert result.samples.left_out == {"no_time": 1}


def test_beats_are_preferred_in_a_reference_only():
    both = samples(range(60), [70] * 60), beats([1000.0] * 60)
    as_reference = normalised(*both, role="reference")
    assert as_reference.rate_from == "beats"
    assert as_reference.frame["heart_rate_bpm"].dropna().to_numpy() == pytest.approx(60)
    assert as_reference.samples.left_out == {"rr_intervals_used_instead": 60}
    as_device = normalised(*both)
    assert as_device.rate_from == "samples"
    assert as_device.beats.left_out == {"averaged_rate_used_instead": 60}


def test_too_few_beats_do_not_replace_the_rates():
    result = normalised(samples(range(60), [70] * 60), beats([1000.0] * 20), role="reference")
    assert result.rate_from == "samples"


def test_beats_alone_serve():
    result = normalised(None, beats([500.0] * 60))
    assert result.rate_from == "beats"
    assert result.frame["heart_rate_bpm"].dropna().to_numpy() == pytest.approx(120)
    assert (result.frame["time"].diff().dropna() == pd.Timedelta(seconds=1)).all()


def test_an_absurd_interval_costs_only_itself_and_what_follows():
    note = ClockNote(starts_at=START.to_pydatetime())
    result = normalised(
        None,
        beats([800.0] * 50 + [1e300] + [800.0] * 3, has_clock=False),
        clock="elapsed",
        clock_note=note,
    )
    assert len(result.frame) < 100
    assert result.beats.used == 50
    result = normalised(None, beats([800.0] * 50 + [4e8] + [800.0] * 3))
    assert len(result.frame) < 100


def test_a_recording_set_aside_is_accounted_for():
    result = normalised(samples([0], [60]), beats([800.0]), set_aside="Broken.")
    assert result.frame.empty
    assert result.samples.left_out == {"recording_set_aside": 1}


def test_a_marked_moment_is_placed_by_the_clock_of_the_recording():
    begins = START.timestamp()
    table = samples([5, 6, 7], [60, 61, 62])
    assert marked_at(table, BEATS.empty(), recording()) is None
    assert marked_at(table, BEATS.empty(), recording(marker_s=30.5)) == begins + 35.5
    # RR intervals begin an interval before the first one ends.
    assert marked_at(SAMPLES.empty(), beats([1000, 1000]), recording(marker_s=2)) == begins + 2
    assert marked_at(SAMPLES.empty(), BEATS.empty(), recording(marker_s=2)) is None


def test_of_a_history_only_what_is_of_the_session_is_kept_and_the_rest_is_counted():
    within = (START + pd.Timedelta(seconds=600), START + pd.Timedelta(seconds=780))
    history = samples(range(0, 3600, 60), [61.0] * 11 + [0.0] + [62.0] * 48)
    result = normalised(history, within=within)
    assert list(result.frame["ordinal"]) == [10, 11, 12, 13]
    assert result.samples.model_dump() == {
        "total": 60,
        "used": 3,
        "left_out": {"outside_the_session": 56, "zero": 1},
    }
    local = normalised(
        history,
        clock="local",
        clock_note=ClockNote(time_zone="Europe/Lisbon"),
        within=[at - pd.Timedelta(hours=1) for at in within],
    )
    assert list(local.frame["ordinal"]) == [10, 11, 12, 13]
    by_beats = normalised(beat_frame=beats([1000.0] * 1200), within=within)
    assert by_beats.beats.model_dump() == {
        "total": 1200,
        "used": 181,
        "left_out": {"outside_the_session": 1019},
    }
