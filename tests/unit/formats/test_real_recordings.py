"""Real recordings, which are no part of the project: counts and means found by another reader.

Set STRAPLINE_REAL_DATA to the directory that holds them.
"""

import os
from pathlib import Path

import pandas as pd
import pytest

from strapline.reading.formats import Export, UnreadableExport, read_export

_DIRECTORY = os.environ.get("STRAPLINE_REAL_DATA", "")

pytestmark = pytest.mark.skipif(
    not _DIRECTORY or not Path(_DIRECTORY).is_dir(),
    reason="needs real recordings; set STRAPLINE_REAL_DATA to their directory",
)


def read(name: str) -> Export:
    return read_export(Path(_DIRECTORY) / name)


@pytest.mark.parametrize(
    ("name", "count", "with_heart_rate", "mean", "highest"),
    [
        ("fit/wrist_run.fit", 1641, 1641, 131.420, 179),
        ("fit/run.fit", 2809, 2808, 153.976, 178),
        ("fit/indoor_ride.fit", 2263, 2263, 147.747, 176),
        ("fit/uneven_intervals.fit", 590, 590, 148.090, None),
        ("fit/developer_fields.fit", 3424, 3424, 130.839, None),
        ("fit/monitoring_day.fit", 1311, 1311, None, None),
        ("fit/all_zero_heart_rate.fit", 1808, 1808, 0, 0),
        ("fit/rr_short_ride.fit", 15, 15, None, None),
        ("same_ride/ride.fit", 5159, 5159, 130.311, 160),
        ("same_ride/ride.gpx", 5159, 5159, 130.311, 160),
    ],
)
def test_counts_and_means(
    name: str, count: int, with_heart_rate: int, mean: float | None, highest: float | None
) -> None:
    export = read(name)
    heart_rates = export.samples["heart_rate_bpm"]
    repeated = [r for r in export.remarks if "repeats their heart rate; it is read once" in r]
    assert (export.clock, list(export.remarks)) == ("utc", repeated)
    assert (len(heart_rates), heart_rates.count()) == (count, with_heart_rate)
    assert export.samples["time"].notna().all()
    if mean is not None:
        assert heart_rates.mean() == pytest.approx(mean, abs=0.0006)
    if highest is not None:
        assert heart_rates.max() == highest


@pytest.mark.parametrize(
    ("name", "first", "last"),
    [
        ("fit/wrist_run.fit", "2017-05-18T16:37:30Z", "2017-05-18T17:05:59Z"),
        ("same_ride/ride.fit", "2020-04-18T11:10:44Z", "2020-04-18T12:36:42Z"),
    ],
)
def test_first_and_last_times(name: str, first: str, last: str) -> None:
    times = read(name).samples["time"]
    assert (times.iloc[0], times.iloc[-1]) == (pd.Timestamp(first), pd.Timestamp(last))


def test_one_ride_reads_alike_from_three_formats() -> None:
    columns = ["time", "heart_rate_bpm"]
    fit, gpx, tcx = (read(f"same_ride/ride.{kind}").samples for kind in ("fit", "gpx", "tcx"))
    pd.testing.assert_frame_equal(fit[columns], gpx[columns])
    # TCX states the last point of each of the first seven laps again as the first of the next.
    repeated = tcx[columns].duplicated()
    assert repeated.sum() == 7
    pd.testing.assert_frame_equal(fit[columns], tcx[columns][~repeated].reset_index(drop=True))


def test_intervals_between_records() -> None:
    export = read("fit/rr_short_ride.fit")
    beats, records = export.beats, export.samples["time"]
    assert len(beats) == 126
    assert beats["time"].is_monotonic_increasing
    assert beats["time"].iloc[0] > records.iloc[0]
    assert beats["time"].iloc[-1] < records.iloc[-1] + pd.Timedelta(seconds=3)


def test_heart_rate_in_messages_of_its_own() -> None:
    samples = read("fit/hr_messages.fit").samples
    messages = samples[samples["heart_rate_bpm"].notna()]
    assert len(samples) - len(messages) == 4376
    assert messages["time"].is_monotonic_increasing
    # Each message stands for one beat: its spacing and its rate must tell the same.
    spacing_s = messages["time"].diff().dt.total_seconds().median()
    assert 60 / spacing_s == pytest.approx(messages["heart_rate_bpm"].median(), rel=0.02)
    records = samples["time"][samples["heart_rate_bpm"].isna()]
    assert messages["time"].iloc[0] < records.iloc[0] < records.iloc[-1] < messages["time"].iloc[-1]


@pytest.mark.parametrize("kind", ["broken", "fit"])
def test_whatever_is_in_a_file_there_is_an_answer(kind: str) -> None:
    for path in sorted((Path(_DIRECTORY) / kind).iterdir()):
        try:
            assert len(read_export(path).samples)
        except UnreadableExport as reason:
            assert str(reason).endswith(".")
