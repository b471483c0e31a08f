import numpy as np
import pytest

from strapline.settings import Alignment
from strapline.signal.clock_offset import search_offset
from strapline.signal.grid import values_at


def workout(seconds, seed):
    """Heart rate of an invented workout: first-order response to random efforts."""
    random = np.random.default_rng(seed)
    effort = np.repeat(random.uniform(80, 170, seconds // 60 + 1), 60)[:seconds]
    rate = np.empty(seconds)
    rate[0] = effort[0]
    for t in range(1, seconds):
        rate[t] = rate[t - 1] + (effort[t] - rate[t - 1]) / 30
    return rate


def searched(reference, device, late_s, search_s=90):
    """Search with a device whose readings come `late_s` late, rounded to whole bpm."""
    at = np.arange(reference.size, dtype=float)
    wider = np.arange(-search_s, reference.size + search_s, dtype=float)
    return search_offset(
        reference, values_at(wider, at + late_s, np.round(device), 10), search_s, 60
    )


@pytest.mark.parametrize("late_s", [-80, -7.4, 0, 3.5, 41])
def test_a_known_offset_is_found(late_s):
    reference = workout(1200, seed=1)
    noise = np.random.default_rng(2).normal(0, 2, 1200)
    found = searched(reference, reference + noise, late_s)
    assert found.offset_s == pytest.approx(-late_s, abs=0.5)
    assert found.correlation > 0.8
    assert found.lead > 0.2
    assert not found.at_edge


def test_reading_low_for_two_thirds_of_the_time_does_not_drag_the_clock():
    reference = workout(1800, seed=3)
    device = reference.copy()
    device[600:] -= 30
    assert searched(reference, device, 12).offset_s == pytest.approx(-12, abs=0.5)


def test_beyond_the_range_is_told():
    reference = workout(1800, seed=4)
    found = searched(reference, reference, 25, search_s=10)
    assert found.at_edge or found.correlation < 0.6


def test_two_different_workouts_do_not_agree():
    asked = Alignment()
    found = [searched(workout(1200, n), workout(1200, n + 1000), 0) for n in range(100)]
    accepted = [
        f
        for f in found
        if f.correlation >= asked.lowest_correlation and f.lead >= asked.smallest_lead
    ]
    assert len(accepted) <= 1


def test_no_change_no_offset():
    assert searched(np.full(600, 100.0), np.full(600, 100.0), 0) is None


def test_too_short():
    assert searched(workout(40, 5), workout(40, 5), 0) is None


def test_delay_table(worked_example):
    # delay7_synthetic.csv: the device repeats the reference 7 s later.
    table = worked_example("delay7_synthetic.csv")
    found = searched(table["ref"].to_numpy(), table["dev_delay7"].to_numpy(), 0)
    assert found.offset_s == pytest.approx(-7, abs=0.5)
