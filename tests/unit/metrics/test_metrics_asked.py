"""Every figure is asked the same: what it is, what others say it is, how sure it is, and how it
behaves when seconds are dealt anew or the unit changes."""

import ast
import dis
import math
import statistics
import types
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from scipy.signal import lfilter
from sklearn import metrics as sklearn_metrics

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Intervals, Tolerance
from strapline.method.agreement.resampling import generator
from strapline.method.metrics import again, registry
from strapline.method.metrics.again import InOrder, Near, Pairs
from strapline.method.metrics.at_rates import AT_RATES
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import Sampled
from strapline.method.metrics.metric_rows import measured, value_of
from strapline.method.metrics.resamples import Resamples
from strapline.method.signal.response import response
from unit.agreement.one_resample import identity_blocks
from unit.signal.invented import workout

IN_ORDER = "whole session in order"
TOLERANCE = Tolerance()
every_metric = pytest.mark.parametrize("metric", registry.METRICS, ids=lambda metric: metric.key)


def errors():
    return lfilter([1.0], [1, -0.6], np.random.default_rng(3).normal(size=1800))


def session(metric=None):
    """Half an hour; a device 7 s late and 2 bpm high, with errors that persist, and a gap where
    the figure does not ask for every second."""
    reference = workout(1800, 1)
    device = np.concatenate([np.full(7, reference[0] + 40), reference[:-7]]) + 2 + errors()
    if metric is None or metric.given != IN_ORDER:
        device[600:700] = np.nan
    late = response(reference, device)
    told = {"rising": late.rising, "falling": late.falling}
    clock = ClockDecision(recording="watch", offset_s=0, decision="refused", reason="", **told)
    return Compared(reference, device, TOLERANCE, clock=clock)


def by_library(rule):
    return lambda c: rule(c.pairs[0].tolist(), c.pairs[1].tolist())


def apart(r, d):
    return [y - x for x, y in zip(r, d, strict=True)]


def of_sizes(rule):
    return by_library(lambda r, d: rule([abs(e) for e in apart(r, d)]))


def near(beats, percent):
    return by_library(
        lambda r, d: (
            100
            * statistics.fmean(
                math.isclose(x, y, rel_tol=0, abs_tol=max(beats, x * percent / 100))
                for x, y in zip(r, d, strict=True)
            )
        )
    )


def limit(sign):
    return by_library(
        lambda r, d: statistics.fmean(apart(r, d)) + sign * 1.96 * statistics.stdev(apart(r, d))
    )


def lock_by_pandas(c):
    close = pd.Series(np.abs(c.device - c.reference) <= np.maximum(5, c.reference / 10))
    return int(close.rolling(30).sum().eq(30).idxmax()) - 29


def lin(r, d):
    """Lin 1989, equation 1, as printed: 1 less the expected squared distance over what it would be
    without correlation."""
    shift = (statistics.fmean(r) - statistics.fmean(d)) ** 2
    without = statistics.pvariance(r) + statistics.pvariance(d) + shift
    return 1 - statistics.fmean(e * e for e in apart(r, d)) / without


def lines(r, d):
    """Of the differences, of the sizes of what that line leaves, and these."""
    middle, difference = np.add(r, d) / 2, np.subtract(d, r)
    bias = stats.linregress(middle, difference)
    left = np.abs(difference - bias.intercept - bias.slope * middle)
    return bias, stats.linregress(middle, left), left


def line(name, rate):
    """By SciPy's straight lines; none where the rate is not among the middle nine tenths."""

    def rule(r, d):
        middle = np.add(r, d) / 2
        if not stats.scoreatpercentile(middle, 5) <= rate <= stats.scoreatpercentile(middle, 95):
            return pytest.approx(math.nan, nan_ok=True)
        bias, spread, _ = lines(r, d)
        at = {"bias": bias.intercept + bias.slope * rate}
        at["sd"] = math.sqrt(math.pi / 2) * (spread.intercept + spread.slope * rate)
        return at[name]

    return by_library(rule)


# What a general-purpose library says of the same seconds: Python's statistics, scikit-learn,
# scipy, pandas; or how the seconds were made. In tests/published the
# figures are held against printed ones.
ORACLES = {
    "mean_reference": by_library(lambda r, d: statistics.fmean(r)),
    "mean_device": by_library(lambda r, d: statistics.fmean(d)),
    "bias": by_library(lambda r, d: statistics.fmean(apart(r, d))),
    "bias_percent": by_library(lambda r, d: 100 * (statistics.fmean(d) / statistics.fmean(r) - 1)),
    "maximum_reference": by_library(lambda r, d: max(r)),
    "maximum_device": by_library(lambda r, d: max(d)),
    "maximum_difference": by_library(lambda r, d: max(d) - max(r)),
    "maximum_difference_percent": by_library(lambda r, d: 100 * (max(d) / max(r) - 1)),
    "sd_of_differences": by_library(lambda r, d: statistics.stdev(apart(r, d))),
    "limit_lower": limit(-1),
    "limit_upper": limit(1),
    "mae": by_library(sklearn_metrics.mean_absolute_error),
    "rmse": by_library(sklearn_metrics.root_mean_squared_error),
    "mape": by_library(lambda r, d: 100 * sklearn_metrics.mean_absolute_percentage_error(r, d)),
    "absolute_error_p95": of_sizes(lambda e: statistics.quantiles(e, n=20, method="inclusive")[-1]),
    "within_beats": near(5, 0),
    "within_percent": near(0, 10),
    "within_either": near(5, 10),
    "pearson_r": by_library(statistics.correlation),
    "concordance": by_library(lin),
    "coverage": lambda c: 100 * (1 - np.isnan(c.device).mean()),
    # In the limit for errors that are a first-order autoregression.
    "effective_n": lambda c: pytest.approx(1800 * (1 - 0.6) / (1 + 0.6), rel=0.2),
    "proportional_slope": by_library(
        lambda r, d: stats.linregress(np.add(r, d) / 2, np.subtract(d, r)).slope
    ),
    **{f"{name}_at_{rate}": line(name, rate) for rate in (80, 120, 160) for name in ("bias", "sd")},
    "spread_about_line": by_library(
        lambda r, d: math.sqrt(math.pi / 2) * statistics.fmean(lines(r, d)[2])
    ),
    "spread_slope": by_library(lambda r, d: math.sqrt(math.pi / 2) * lines(r, d)[1].slope),
    "delay_rising": lambda c: pytest.approx(7, abs=1),
    "delay_falling": lambda c: pytest.approx(7, abs=1),
    "first_lock": lock_by_pandas,
}
OF_ONE_RATE = {metric.key for metric in AT_RATES}
# What seconds are worth depends on which follows which.
OF_THE_ORDER = {"effective_n"}


def test_each_has_a_key_of_its_own_and_an_oracle():
    keys = [metric.key for metric in registry.METRICS]
    assert len(set(keys)) == len(keys)
    assert list(ORACLES) == keys[: len(ORACLES)] and set(ORACLES) == set(keys)


@every_metric
def test_each_is_explained(metric):
    assert metric.name and metric.meaning.endswith(".") and metric.formula and metric.source
    assert metric.unit in {"bpm", "%", "s", "1", "bpm/bpm"}
    assert "{" not in metric.titled(TOLERANCE) + metric.reckoned(5, 10)


@every_metric
def test_each_is_what_others_say(metric):
    compared = session(metric)
    if metric.key in OF_THE_ORDER:
        compared = Compared(compared.reference, compared.reference + errors(), TOLERANCE)
    assert value_of(metric, compared) == pytest.approx(ORACLES[metric.key](compared))


@every_metric
def test_each_has_an_interval_or_says_why_not(metric):
    (row,) = measured([metric], Sampled(session(metric), Intervals(), "name"))
    if np.isnan(row["ci_low"]):
        assert metric.interval.words.startswith("none: ") and len(metric.interval.words) > 20
    else:
        assert "95 %" in metric.interval.words
        assert row["ci_low"] <= row["value"] <= row["ci_high"] and row["ci_low"] < row["ci_high"]


@every_metric
def test_each_over_the_one_resample_that_is_the_session_is_itself(metric):
    if metric.interval.resampled is not None:
        compared = session(metric)
        resamples = Resamples(compared, identity_blocks(1800, 60))
        (again_,) = metric.interval.resampled(resamples)
        assert again_ == pytest.approx(value_of(metric, compared))


@every_metric
def test_without_a_pair_each_is_missing_or_nothing(metric):
    nothing = np.full(100, np.nan)
    value = value_of(metric, Compared(np.full(100, 120.0), nothing, TOLERANCE))
    assert np.isnan(value) or value == 0
    assert np.isnan(value_of(metric, Compared(nothing[:0], nothing[:0], TOLERANCE)))


@every_metric
def test_each_comes_out_the_same_by_its_short_path(metric):
    compared = session(metric)
    second = np.arange(compared.device.size, dtype=float)
    in_order = InOrder(second, compared.reference, compared.device)
    pairs = Pairs(*compared.pairs, compared.device.size, in_order)
    if metric.again is None:
        assert metric.key in {"effective_n", "delay_rising", "delay_falling"}
    else:
        value = value_of(metric, compared)
        assert metric.again(pairs, Near(5, 10)) == pytest.approx(value, rel=1e-9, nan_ok=True)


def named_by(function):
    """What of this package a function names or holds, and so on from there."""
    found, waiting = set(), [function]
    while waiting:
        one = waiting.pop()
        if one in found or not getattr(one, "__module__", "").startswith("strapline"):
            continue
        found.add(one)
        if isinstance(one, types.FunctionType):
            inner = [c for c in one.__code__.co_consts if isinstance(c, types.CodeType)]
            steps = [step for code in (one.__code__, *inner) for step in dis.get_instructions(code)]
            names = {step.argval for step in steps if step.opname == "LOAD_GLOBAL"}
            held = [cell.cell_contents for cell in one.__closure__ or ()]
            waiting += [one.__globals__[name] for name in names if name in one.__globals__]
            waiting += [each for each in held if isinstance(each, types.FunctionType)]
    return found - {function}


def test_short_paths_stand_on_nothing_that_makes_figures():
    tree = ast.parse(Path(again.__file__).read_text("utf-8"))
    imported = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
    assert not any(name.startswith("strapline") for name in imported)
    for metric in (metric for metric in registry.METRICS if metric.again is not None):
        rules = {each for each in named_by(metric.again) if each.__name__ != "<lambda>"}
        assert {each.__module__ for each in rules} <= {again.__name__}, metric.key
        assert not named_by(metric.value) & {metric.again, *named_by(metric.again)}, metric.key


@every_metric
def test_the_order_of_seconds_counts_only_where_it_should(metric):
    compared = session(metric)
    order = generator("another order").permutation(compared.device.size)
    dealt = Compared(compared.reference[order], compared.device[order], TOLERANCE)
    same = value_of(metric, dealt) == pytest.approx(value_of(metric, compared), nan_ok=True)
    assert same == (metric.given != IN_ORDER and metric.key not in OF_THE_ORDER)


@every_metric
def test_in_another_unit_what_is_in_bpm_changes_with_it_and_nothing_else(metric):
    """As if heart rates were told in half beats."""
    if metric.key in OF_ONE_RATE:
        metric = replace(metric, value=lambda c: c.regression.sd_at(c.pairs[0].max()))
    compared = session(metric)
    sides = 2 * compared.reference, 2 * compared.device
    doubled = Compared(*sides, Tolerance(beats=10), clock=compared.clock)
    factor = 2 if metric.unit == "bpm" else 1
    expected = pytest.approx(factor * value_of(metric, compared), abs=1e-9)
    assert value_of(metric, doubled) == expected


@pytest.mark.parametrize(
    "key", ["bias", "mae", "rmse", "sd_of_differences", "pearson_r", "within_beats", "effective_n"]
)
def test_moving_both_sides_moves_no_error(key):
    compared, metric = session(), registry.metric(key)
    moved = Compared(compared.reference + 20, compared.device + 20, TOLERANCE)
    assert value_of(metric, moved) == pytest.approx(value_of(metric, compared))
