from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from strapline.method.signal.trace import Trace, paired

SECONDS = np.arange(0.0, 601)


def trace(times, rates):
    return Trace(np.asarray(times, dtype=float), np.asarray(rates, dtype=float))


REFERENCE = trace(SECONDS, 100 + SECONDS / 10)


MINUTES = np.arange(60.0, 601, 60)


def test_two_fine_recordings_meet_every_second():
    pairs = paired(REFERENCE, trace(SECONDS[::5], SECONDS[::5]), SECONDS, 10)
    assert np.array_equal(pairs.reference, REFERENCE.rate)
    assert pairs.device == pytest.approx(SECONDS)
    assert (pairs.stands_for_s == 5).all()


@pytest.mark.parametrize("apart", [(5, 10, 15), (1, 2, 17), (12, 13)])
def test_uneven_spacing_is_no_gap(apart):
    times = np.cumsum(np.resize(apart, 60)).astype(float)
    seconds = np.arange(times[0], times[-1] + 1)
    pairs = paired(REFERENCE, trace(times, times), seconds, 10)
    assert pairs.device == pytest.approx(seconds)


def test_a_dropout_is_a_gap_by_any_spacing():
    times = np.arange(0.0, 601, 8)
    times = times[(times <= 200) | (times > 230)]
    missing = np.isnan(paired(REFERENCE, trace(times, times), SECONDS[:593], 10).device)
    assert list(SECONDS[:593][missing]) == list(range(201, 232))


def test_a_report_a_minute_is_compared_with_the_minute_before():
    pairs = paired(REFERENCE, trace(MINUTES, MINUTES), SECONDS, 10)
    assert np.isnan(pairs.device[0])
    assert np.array_equal(pairs.device[1:], np.repeat(MINUTES, 60))
    # The mean of the 60 seconds up to the report: its middle is 29.5 s before it.
    assert pairs.reference[1:] == pytest.approx(np.repeat(100 + (MINUTES - 29.5) / 10, 60))
    assert (pairs.stands_for_s == 60).all()


def test_a_missing_report_leaves_its_time_uncovered():
    reports = np.array([60.0, 120, 180, 360, 420, 480, 540])
    pairs = paired(REFERENCE, trace(reports, reports), SECONDS, 10)
    uncovered = list(SECONDS[np.isnan(pairs.device)])
    assert uncovered == [0, *range(181, 301), *range(541, 601)]
    assert list(pairs.reference[181:301]) == list(REFERENCE.rate[181:301])


def test_a_coarse_reference_is_met_alike():
    pairs = paired(trace(MINUTES, MINUTES), REFERENCE, SECONDS, 10)
    assert np.array_equal(pairs.reference[1:], np.repeat(MINUTES, 60))
    assert pairs.device[1:] == pytest.approx(np.repeat(100 + (MINUTES - 29.5) / 10, 60))


def test_no_mean_of_too_little():
    half = trace(SECONDS[:100], REFERENCE.rate[:100])
    pairs = paired(half, trace(MINUTES, MINUTES), SECONDS, 10)
    met = ~np.isnan(pairs.device) & ~np.isnan(pairs.reference)
    assert list(SECONDS[met]) == list(range(1, 121))


def test_reports_of_moments_are_compared_with_moments():
    wandering = trace(SECONDS, 120 + 30 * np.sin(SECONDS / 40))
    reports = np.arange(30.0, 601, 30)
    moments = np.interp(reports, SECONDS, wandering.rate)
    of_moments = replace(trace(reports, moments), of_moments=True)
    pairs = paired(wandering, of_moments, SECONDS, 10)
    assert pairs.reference[1:] == pytest.approx(np.repeat(moments, 30))


def test_when_a_recording_began_and_ended_whatever_its_heart_rates():
    times = pd.to_datetime([0, 1, 2, 3, 4], unit="s", utc=True)
    flags = ["no_value", "kept", "kept", "zero", "far_off_time"]
    rates = [np.nan, 100.0, 101.0, 0.0, 100.0]
    frame = pd.DataFrame({"time": times, "heart_rate_bpm": rates, "flag": flags})
    read = Trace.of(frame).shifted(10)
    assert (read.begins_s, read.ends_s) == (10, 13)
    assert trace(MINUTES, MINUTES).begins_s == 0
