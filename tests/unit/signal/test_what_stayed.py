"""A recorder that writes only when the value changes has no gap while the value stays."""

import numpy as np
import pandas as pd

from strapline.demo.physiology import wandering
from strapline.method.signal.grid import times_of
from strapline.method.signal.spacing import Spacing
from strapline.method.signal.trace import Trace

UNREST = wandering(2400, 1.5, 40, np.random.default_rng(3))
HEART = np.round(105 + 8 * np.sin(np.arange(2400) / 190) + UNREST)


def trace(rate, seconds):
    rows = {"time": times_of(seconds.astype(float)), "heart_rate_bpm": rate[seconds]}
    return Trace.of(pd.DataFrame(rows | {"flag": "kept"}))


def changes(rate):
    return np.flatnonzero(np.diff(rate, prepend=np.nan) != 0)


def without(seconds, first, last):
    return seconds[(seconds < first) | (seconds >= last)]


def test_the_value_stayed_while_nothing_was_written():
    seconds = changes(HEART)
    assert np.diff(seconds).max() > 20
    at = trace(HEART, seconds).at(np.arange(seconds[-1]), 10)
    assert not np.isnan(at).any()
    assert np.abs(at - HEART[: seconds[-1]]).max() <= 1
    # What it wrote tells what a gap is, not what stayed.
    assert trace(HEART, seconds).spacing == Spacing.of(seconds.astype(float))


def test_a_recorder_of_that_habit_can_lose_the_heart_all_the_same():
    """For two minutes, or for half a minute after which it goes on from elsewhere."""
    seconds = changes(HEART)
    long = trace(HEART, without(seconds, 900, 1020))
    assert np.isnan(long.at(np.arange(920, 1000), 10)).all()
    jumps = HEART.copy()
    jumps[1300:1320] += 25
    elsewhere = trace(jumps, without(changes(jumps), 1280, 1310))
    assert np.isnan(elsewhere.at(np.arange(1290, 1300), 10)).all()


def test_who_repeats_values_has_gaps():
    """Every second but for twenty: in a recorder at 1 Hz it is a loss, though the value is near."""
    seconds = without(np.arange(2400), 900, 920)
    assert np.isnan(trace(HEART, seconds).at(np.arange(905, 915), 10)).all()
