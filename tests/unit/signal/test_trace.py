import numpy as np
import pytest

from strapline.method.signal.trace import Trace, paired

SECONDS = np.arange(0.0, 601)


def trace(times, rates):
    return Trace(np.asarray(times, dtype=float), np.asarray(rates, dtype=float))


REFERENCE = trace(SECONDS, 100 + SECONDS / 10)


def test_two_fine_recordings_meet_every_second():
    pairs = paired(REFERENCE, trace(SECONDS[::5], SECONDS[::5]), SECONDS, 10)
    assert np.array_equal(pairs.reference, REFERENCE.rate)
    assert pairs.device == pytest.approx(SECONDS)
    assert not pairs.awaited.any()
    assert (pairs.stands_for_s == 1).all()


def test_a_report_a_minute_is_compared_with_the_minute_before():
    reports = np.arange(60.0, 601, 60)
    pairs = paired(REFERENCE, trace(reports, reports), SECONDS, 10)
    met = ~np.isnan(pairs.device)
    assert list(SECONDS[met]) == list(reports)
    # The mean of the 60 seconds up to the report: its middle is 29.5 s before it.
    assert pairs.reference[met] == pytest.approx(100 + (reports - 29.5) / 10)
    assert pairs.awaited.sum() == 600 - len(reports)
    assert not pairs.awaited[0]
    assert (pairs.stands_for_s == 60).all()


def test_a_missing_report_leaves_its_time_uncovered():
    reports = np.array([60.0, 120, 180, 360, 420, 480, 540])
    pairs = paired(REFERENCE, trace(reports, reports), SECONDS, 10)
    uncovered = SECONDS[~pairs.awaited & np.isnan(pairs.device)]
    assert list(uncovered[1:180]) == list(range(181, 360))
    assert uncovered[180] == 541


def test_a_coarse_reference_is_met_alike():
    reports = np.arange(60.0, 601, 60)
    pairs = paired(trace(reports, reports), REFERENCE, SECONDS, 10)
    met = ~np.isnan(pairs.reference)
    assert list(SECONDS[met]) == list(reports)
    assert pairs.device[met] == pytest.approx(100 + (reports - 29.5) / 10)


def test_no_mean_of_too_little():
    half = trace(SECONDS[:100], REFERENCE.rate[:100])
    reports = np.arange(60.0, 601, 60)
    pairs = paired(half, trace(reports, reports), SECONDS, 10)
    met = ~np.isnan(pairs.device) & ~np.isnan(pairs.reference)
    assert list(SECONDS[met]) == [60, 120]


def test_how_often_it_reports():
    assert REFERENCE.interval_s == 1
    assert trace([0, 1, 2, 50, 51], [1] * 5).interval_s == 1
    assert trace([5], [1]).interval_s == 0
