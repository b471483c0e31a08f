import numpy as np
import pytest

from strapline.method.signal.clocks.by_heart_rate import find_drift
from strapline.method.signal.clocks.heart_rate_search import Demands
from unit.signal.invented import workout

HOURS = 3
SECONDS = HOURS * 3600


def drifting(per_hour_s, start_s=0.0, jump_s=0.0, seed=1, seconds=SECONDS):
    """find_drift on a device whose clock is `start_s` ahead and gains as told, with noise."""
    reference = workout(seconds, seed)
    true_s = np.arange(seconds, dtype=float)
    clock_s = true_s + start_s + per_hour_s * true_s / 3600 + jump_s * (true_s > seconds / 2)
    noise = np.random.default_rng(seed).normal(0, 1.5, seconds)
    wider = np.arange(-90.0, seconds + 90)
    device = np.interp(wider, clock_s, reference + noise, left=np.nan, right=np.nan)
    return find_drift(reference, device, 90, 60, Demands())


@pytest.mark.parametrize("per_hour_s", [2.0, -3.0, 4.0])
def test_a_drift_is_shown_and_can_be_taken_off(per_hour_s):
    found = drifting(per_hour_s, start_s=-3)
    assert found.per_hour_s == pytest.approx(-per_hour_s, abs=0.3)
    assert found.last_s - found.first_s == pytest.approx(-per_hour_s * HOURS * 2 / 3, abs=0.6)
    ends = found.offset_at(0), found.offset_at(SECONDS)
    assert ends == pytest.approx((3, 3 - per_hour_s * HOURS), abs=0.8)


def test_no_drift_is_not_shown():
    assert [drifting(0.0, start_s=7, seed=seed) for seed in range(8)] == [None] * 8


def test_a_small_change_is_left_alone():
    assert drifting(0.6) is None


def test_a_jump_is_not_a_drift():
    assert [drifting(0.0, jump_s=12, seed=seed) for seed in range(3)] == [None] * 3


def test_where_nothing_can_be_told():
    assert drifting(5.0, seconds=3000) is None
    reference = np.full(SECONDS, 100.0)
    assert find_drift(reference, np.full(SECONDS + 180, 100.0), 90, 60, Demands()) is None
    empty = np.array([])
    assert find_drift(empty, np.full(180, np.nan), 90, 60, Demands()) is None
