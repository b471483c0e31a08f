"""Block bootstrap of a session's figures: exact on the identity, sensible at the edges."""

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import lfilter

from strapline.ground.settings import Intervals, Tolerance
from strapline.method.agreement.bootstrap import FEWEST_SECONDS, mean_interval
from strapline.method.agreement.interval import Interval
from strapline.method.agreement.resampling import draw_blocks, generator
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric_rows import measured, value_of
from strapline.method.metrics.resamples import Resamples
from unit.agreement.one_resample import identity_blocks

TOLERANCE = Tolerance()
PLAIN = registry.given("every scope")
WITHOUT = {m.key for m in PLAIN if m.interval.words.startswith("none")}
RESAMPLED = [m for m in PLAIN if m.interval.resampled]


def session(seed, n=600, correlation=0.8, gaps=True):
    random = np.random.default_rng(seed)
    reference = 130 + 25 * np.sin(np.arange(n) / 90) + random.normal(0, 1, n)
    device = reference + 2 + lfilter([2.0], [1, -correlation], random.normal(size=n))
    if gaps:
        device[n // 3 : n // 3 + n // 20] = np.nan
        device[n // 2] = np.nan
    return reference, device


def plain_metrics(reference, device):
    compared = Compared(reference, device, TOLERANCE)
    return {metric.key: value_of(metric, compared) for metric in PLAIN}


def replicates_of(blocks, reference, device):
    resamples = Resamples(Compared(reference, device, TOLERANCE), blocks)
    return {metric.key: metric.interval.resampled(resamples) for metric in RESAMPLED}


def intervals_of(reference, device, name, replicates=1000):
    settings = Intervals(replicates=replicates, shortest_s=10, fewest_independent=3)
    rows = measured(PLAIN, Sampled(Compared(reference, device, TOLERANCE), settings, name))
    return {row["metric"]: Interval(row["ci_low"], row["ci_high"]) for row in rows}


@given(st.integers(0, 10_000), st.integers(10, 80), st.integers(1, 80))
def test_identity_resample_gives_the_figures_themselves(seed, n, length):
    reference, device = session(seed, n)
    replicates = replicates_of(identity_blocks(n, length), reference, device)
    plain = plain_metrics(reference, device)
    for metric, values in replicates.items():
        assert values[0] == pytest.approx(plain[metric], rel=1e-9, abs=1e-9), metric


def test_replicates_are_the_figures_of_built_resamples():
    reference, device = session(1, 200)
    blocks = draw_blocks(200, 9, 30, np.random.default_rng(1))
    replicates = replicates_of(blocks, reference, device)
    beginnings = np.column_stack([blocks.whole, blocks.last])
    for row, starts in enumerate(beginnings):
        steps = (starts[:, None] + np.arange(9)).ravel()[:200] % 200
        plain = plain_metrics(reference[steps], device[steps])
        for metric, values in replicates.items():
            assert values[row] == pytest.approx(plain[metric], rel=1e-9, abs=1e-9), metric


def test_every_figure_has_an_interval_around_it_or_says_why_not():
    reference, device = session(2)
    intervals = intervals_of(reference, device, "session")
    for metric, value in plain_metrics(reference, device).items():
        low, high = intervals[metric].low, intervals[metric].high
        if metric in WITHOUT:
            assert np.isnan([low, high]).all(), metric
        else:
            assert low <= value <= high and low < high, metric


def test_means_are_of_compared_seconds():
    reference, device = session(2)
    interval = intervals_of(reference, device, "session")["mean_reference"]
    centre = (interval.low + interval.high) / 2
    assert centre == pytest.approx(plain_metrics(reference, device)["mean_reference"])


def test_the_name_decides_the_random_numbers():
    reference, device = session(3)
    one = intervals_of(reference, device, "one")
    assert intervals_of(reference, device, "one") == one
    assert intervals_of(reference, device, "other") != one


def test_swapping_sides_turns_bias_and_limits_over():
    reference, device = session(4, gaps=False)
    one = intervals_of(reference, device, "name")
    other = intervals_of(device, reference, "name")
    assert one["bias"].low == pytest.approx(-other["bias"].high)
    assert one["limit_lower"].low == pytest.approx(-other["limit_upper"].high)
    for metric in ("mae", "rmse", "sd_of_differences", "within_beats", "absolute_error_p95"):
        assert one[metric].low == pytest.approx(other[metric].low), metric
    for metric in ("concordance", "pearson_r"):
        assert one[metric].low == pytest.approx(other[metric].low), metric


@settings(max_examples=10)
@given(st.floats(-20, 20))
def test_a_shift_of_both_sides_moves_no_error(shift):
    reference, device = session(5)
    one = intervals_of(reference, device, "name", 200)
    other = intervals_of(reference + shift, device + shift, "name", 200)
    for metric in ("bias", "sd_of_differences", "mae", "rmse", "pearson_r", "within_beats"):
        assert one[metric].low == pytest.approx(other[metric].low), metric
    assert one["mean_reference"].low + shift == pytest.approx(other["mean_reference"].low)


def test_more_persistent_errors_are_less_certain():
    def width(correlation):
        reference, device = session(6, 2000, correlation, gaps=False)
        error = device - reference
        device = reference + (error - error.mean()) / error.std()
        interval = intervals_of(reference, device, "name")["bias"]
        return interval.high - interval.low

    assert width(0.0) < width(0.8) < width(0.98)


def test_independent_seconds_are_as_textbooks_say():
    random = np.random.default_rng(7)
    series = random.normal(5, 3, 3000)
    interval = mean_interval(series, generator("name"), 4000)
    half = 1.96 * series.std() / np.sqrt(series.size)
    assert interval.low == pytest.approx(series.mean() - half, abs=0.15 * half)
    assert interval.high == pytest.approx(series.mean() + half, abs=0.15 * half)


@pytest.mark.parametrize("correlation", [0.0, 0.8])
def test_nominal_intervals_cover(correlation):
    """A short form of tests/benchmarks/coverage.py."""
    covered, runs = 0, 300
    for run in range(runs):
        random = generator(f"{correlation} {run}")
        n = round(60 * (1 + correlation) / (1 - correlation))
        series = lfilter([1.0], [1, -correlation], random.normal(size=n + 100))[100:]
        interval = mean_interval(series, random, 300)
        covered += interval.low <= 0 <= interval.high
    assert 0.915 <= covered / runs <= 0.985


def test_an_interval_asks_for_time_whatever_the_device_did():
    """Not for what the device did in it: the sessions in which it failed once would be left out,
    and those kept in which it happened not to."""
    settings = Intervals()
    for seed in range(3):
        reference, device = session(seed, 1200, gaps=False)
        failed = device - np.where((np.arange(1200) > 500) & (np.arange(1200) < 600), 20.0, 0.0)
        for n, shown in ((1130, False), (1200, True)):
            for each in (device, failed):
                compared = Compared(reference[:n], each[:n], TOLERANCE)
                found = Sampled(compared, settings, "name").bootstrap
                assert (found is not None) == shown


def test_too_few_seconds():
    reference, device = session(8, FEWEST_SECONDS - 1, gaps=False)
    for interval in intervals_of(reference, device, "name").values():
        assert np.isnan([interval.low, interval.high]).all()
    nothing = np.full(100, np.nan)
    assert np.isnan(intervals_of(nothing, nothing, "name")["coverage"].low)
    assert np.isnan(intervals_of(nothing[:0], nothing[:0], "name")["mae"].low)


def test_a_device_that_shows_the_reference():
    reference, _ = session(9)
    intervals = intervals_of(reference, reference.copy(), "name")
    assert (intervals["mae"].low, intervals["mae"].high) == (0, 0)
    assert (intervals["concordance"].low, intervals["concordance"].high) == (1, 1)
    # No error in n seconds does not prove that there never is one.
    assert 98 < intervals["within_beats"].low < 100
    assert intervals["within_beats"].high == 100


def test_a_heart_rate_that_does_not_move():
    reference = np.full(300, 100.0)
    device = reference + np.random.default_rng(10).normal(size=300)
    intervals = intervals_of(reference, device, "name")
    assert np.isnan(intervals["pearson_r"].low)
    assert intervals["mean_reference"].low == intervals["mean_reference"].high == 100
    assert intervals["mae"].low < intervals["mae"].high


def test_a_correlation_has_no_interval_where_a_resample_may_stand_still():
    random = np.random.default_rng(10)
    reference = np.repeat([100.0, 101.0], [290, 10])
    device = reference + random.normal(size=300)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        intervals = intervals_of(reference, device, "name")
    assert np.isnan(intervals["pearson_r"].low)
    assert intervals["concordance"].low < intervals["concordance"].high


def test_a_reference_of_zero_has_no_percentage():
    reference, device = session(11)
    reference[50] = 0
    intervals = intervals_of(reference, device, "name")
    assert np.isnan(intervals["mape"].low)
    assert np.isfinite(intervals["mae"].low)


def test_no_mean_of_sizes_is_bounded_above_the_largest_size():
    """A device right to a beat but for 100 s, in which it is up to 38 bpm off: the session does not
    tell how long such a fault lasts in others like it."""
    random = np.random.default_rng(1)
    reference = np.full(1800, 70.0) + random.normal(0, 1, 1800)
    device = reference + lfilter([0.5], [1, -0.5], random.normal(size=1800))
    device[600:700] += np.linspace(38, 32, 100)
    found = intervals_of(reference, device, "one fault")
    size = np.abs(device - reference)
    for key, value in (("mae", size.mean()), ("rmse", np.sqrt((size**2).mean()))):
        assert found[key].low < value
        assert found[key].high == np.inf
    steady = intervals_of(reference, reference + random.normal(0, 3, 1800), "no fault")
    assert all(steady[key].high < 3.5 for key in ("mae", "rmse"))
