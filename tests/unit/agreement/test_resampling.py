"""Tabulated sums against resamples that are really built."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.method.agreement.resampling import Blocks, draw_blocks, generator
from unit.agreement.one_resample import identity_blocks


def built(blocks: Blocks, series: np.ndarray) -> np.ndarray:
    """Every resample, shape (replicates, n)."""
    beginnings = np.column_stack([blocks.whole, blocks.last])
    steps = beginnings[:, :, None] + np.arange(blocks.length)
    return series[steps.reshape(len(beginnings), -1)[:, : blocks.n] % blocks.n]


@given(st.integers(1, 60), st.integers(1, 70), st.integers(0, 1000))
def test_sums(n, length, seed):
    random = np.random.default_rng(seed)
    series, blocks = random.normal(100, 20, n), draw_blocks(n, length, 15, random)
    assert blocks.sums(series) == pytest.approx(built(blocks, series).sum(axis=1))


@given(st.integers(1, 60), st.integers(1, 60))
def test_identity(n, length):
    blocks, series = identity_blocks(n, min(length, n)), np.arange(n) + 0.5
    assert built(blocks, series)[0].tolist() == series.tolist()
    assert blocks.sums(series)[0] == pytest.approx(series.sum())


def test_every_step_comes_up_equally_often():
    blocks = draw_blocks(50, 7, 20_000, np.random.default_rng(1))
    counts = np.bincount(built(blocks, np.arange(50)).ravel(), minlength=50) / 20_000
    assert counts == pytest.approx(np.ones(50), abs=0.04)


def test_spread_of_the_mean_is_that_of_bartlett_weights():
    # The variance of a circular block bootstrap of a mean is known: circular autocovariances
    # with falling weights 1 - k / length, over n (Politis & Romano 1992, from memory).
    random, n, length = np.random.default_rng(2), 60, 6
    series = np.cumsum(random.normal(size=n))
    deviation = series - series.mean()
    covariance = [np.mean(deviation * np.roll(deviation, k)) for k in range(length)]
    weights = 1 - np.arange(length) / length
    expected = (covariance[0] + 2 * np.dot(weights[1:], covariance[1:])) / n
    means = draw_blocks(n, length, 40_000, random).sums(series) / n
    assert np.var(means) == pytest.approx(expected, rel=0.03)


def test_random_numbers_depend_on_the_name_alone():
    assert generator("one").integers(0, 1000, 5).tolist() == [546, 638, 870, 265, 609]
    assert generator("one").random() != generator("other").random()
