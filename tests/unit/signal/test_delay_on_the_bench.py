"""The delay of the demo's devices, whose truth is known, on days that the demo does not have."""

import datetime as dt
import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.demo.bench import Bench
from strapline.demo.simulate import simulate
from strapline.ground.documents import load
from strapline.method.signal.grid import values_at
from strapline.method.signal.response import response

BENCH = Path(__file__).parents[3] / "config" / "demo" / "bench.yaml"
# Whole weeks, so that days of the week stay; other dates are other chances.
YEARS = [dt.timedelta(weeks=52 * years) for years in (1, 2, 3)]


def mean_delay_s(constant_s):
    """Of a first-order response, by the second."""
    return 1 / math.expm1(1 / constant_s)


def worn(bench):
    """Strap, device and the least and the greatest mean delay of its sensor behind the strap's."""
    for session in bench.sessions:
        for later in YEARS:
            moved = session.model_copy(update={"start": session.start + later})
            found = simulate(bench, moved)
            window_s = round(bench.straps[session.strap].window_s)
            rate = pd.Series(found.truth.heart_rate_bpm)
            strap = rate.rolling(window_s, min_periods=1).mean().round().to_numpy()
            for device, trace in found.traces.items():
                _, sensor = bench.tested(device).on(moved.start.date())
                known = ~np.isnan(trace.heart_rate_bpm)
                samples = trace.second[known].astype(float), trace.heart_rate_bpm[known]
                shown = values_at(np.arange(rate.size, dtype=float), *samples, 10.0)
                delays = (mean_delay_s(each) for each in (sensor.rise_s, sensor.fall_s))
                sides = [sensor.lag_s + delay - (window_s - 1) / 2 for delay in delays]
                yield strap, shown, min(sides), max(sides)


@pytest.mark.slow
def test_most_intervals_hold_the_truth_whatever_grip_and_steps_do_to_a_sensor():
    """Fewer than the 95 % that they are of: a sensor that sees a little less of each set looks late
    in each of them. Of 134 told, 120 hold it."""
    held = []
    for strap, shown, least_s, greatest_s in worn(load(BENCH, Bench)):
        told = response(strap, shown).throughout
        if told is not None:
            held.append(told.low_s <= greatest_s and told.high_s >= least_s)
    assert len(held) >= 120
    assert np.mean(held) >= 0.88
