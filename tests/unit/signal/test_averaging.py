"""What one of two files averages over leaves a clock unsure, and moves none that is right."""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d

from intakes import recording
from strapline.ground.settings import Alignment
from strapline.method.signal.clocks.averaging import later_s
from strapline.method.signal.clocks.by_channels import by_channels
from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.channel_search import Twin
from strapline.method.signal.clocks.pair import Pair
from strapline.method.signal.trace import Trace

START_S, LENGTH_S = 1_770_000_000.0, 3000
STRAP = Trace(START_S + np.arange(LENGTH_S), np.full(LENGTH_S, 130.0))


def speed(seed, mean_s=1, clock_s=0.0, every_s=1):
    """A pace that two devices share, measured with noise, as a mean over the last seconds."""
    shared = np.random.default_rng(7)
    level = np.repeat(shared.uniform(2.0, 4.5, 200), shared.integers(20, 120, 200))[:LENGTH_S]
    ground = 0.25 * gaussian_filter1d(shared.normal(size=LENGTH_S), 8) / 0.19
    noise = np.random.default_rng(seed).normal(0, 0.25, LENGTH_S)
    pace = gaussian_filter1d(level, 2) + ground + noise
    mean = np.convolve(np.pad(pace, (mean_s - 1, 0), "edge"), np.full(mean_s, 1 / mean_s), "valid")
    times = START_S + np.arange(LENGTH_S) + clock_s
    return Channel(times[::every_s], mean[::every_s])


def decided(ours, theirs):
    return by_channels(
        Pair(
            reference=STRAP,
            device=STRAP,
            reference_entry=recording("strap"),
            entry=recording(),
            reference_channels={"speed_m_s": ours},
            channels={"speed_m_s": theirs},
            alignment=Alignment(),
            longest_gap_s=10,
        )
    )


def test_files_that_average_alike_are_not_later_than_each_other():
    assert later_s(Twin("speed_m_s", speed(1), speed(2))) == (0, 0)


@pytest.mark.parametrize("mean_s", [4, 7, 10])
def test_the_file_that_averages_over_longer_may_be_later_by_half_of_that(mean_s):
    least_s, most_s = later_s(Twin("speed_m_s", speed(1), speed(2, mean_s)))
    assert least_s == 0
    assert (mean_s - 1) / 2 <= most_s <= (mean_s - 1) / 2 + 2.5
    assert later_s(Twin("speed_m_s", speed(2, mean_s), speed(1))) == (-most_s, 0)


def test_a_file_that_records_seldom_may_be_either():
    assert later_s(Twin("speed_m_s", speed(1), speed(2, every_s=4))) == (-4.0, 4.0)


@pytest.mark.parametrize("mean_s", [3, 5, 7, 10])
@pytest.mark.parametrize("every_s", [1, 3])
def test_a_longer_mean_in_one_file_moves_no_clock_that_is_right(mean_s, every_s):
    for ours, theirs in (
        (speed(1), speed(2, mean_s, every_s=every_s)),
        (speed(1, mean_s), speed(2, every_s=every_s)),
    ):
        found = decided(ours, theirs)
        assert (found.decision, found.offset_s) == ("channels", 0)


def test_what_a_mean_explains_is_said():
    found = decided(speed(1), speed(2, 10))
    assert "one of the two may average over 1" in found.reason
    assert (found.ground, found.within_s) == ("right to within 5 s, by speed", 5)
    alike = decided(speed(1), speed(2))
    assert "average" not in alike.reason
    assert alike.ground == "right to within 3 s, by speed"


@pytest.mark.parametrize("mean_s", [1, 4, 7])
@pytest.mark.parametrize("clock_s", [-12.0, 8.0])
def test_a_wrong_clock_is_still_set_right(mean_s, clock_s):
    found = decided(speed(1), speed(2, mean_s, clock_s))
    assert found.offset_s == pytest.approx(-clock_s, abs=3)
    assert "it is set right" in found.reason
