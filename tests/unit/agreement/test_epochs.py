import numpy as np
import pandas as pd
import pytest

from strapline.method.metrics.sensitivity import epoch_means


def test_means_are_those_of_pandas():
    chance = np.random.default_rng(3)
    reference, device = chance.normal(130, 20, (2, 240))
    ours, theirs = epoch_means(reference, device, 15)
    for rate, found in ((reference, ours), (device, theirs)):
        expected = pd.Series(rate, pd.timedelta_range("0s", periods=240, freq="1s"))
        assert found == pytest.approx(expected.resample("15s").mean().to_numpy())


def test_an_epoch_needs_half_of_its_seconds():
    reference = np.arange(20.0)
    device = reference + 3
    device[[5, 6, 7]] = np.nan  # the second epoch keeps two of five
    device[[10, 11]] = np.nan  # the third keeps three
    ours, theirs = epoch_means(reference, device, 5)
    assert ours == pytest.approx([2, 13, 17])
    assert theirs == pytest.approx([5, 16, 20])


def test_a_short_rest_at_the_end_does_not_count():
    assert epoch_means(np.arange(62.0), np.arange(62.0), 60)[0].size == 1
    assert epoch_means(np.arange(90.0), np.arange(90.0), 60)[0].size == 2


def test_nothing_compared_has_no_epoch():
    nothing = np.full(30, np.nan)
    assert epoch_means(nothing, nothing, 5)[0].size == 0
    assert epoch_means(np.array([]), np.array([]), 5)[0].size == 0
