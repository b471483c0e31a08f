"""A change within blocks, against ordinary least squares of a general library."""

import math

import numpy as np
import pytest
from scipy import stats
from statsmodels.api import OLS

from strapline.agreement.blocks import change_within_blocks


def drawn(seed):
    """Figures and blocks of sessions before and after, no block empty on a side."""
    random = np.random.default_rng(seed)
    sides = []
    for change in (0.0, 1.5):
        block = np.concatenate([np.arange(3), random.integers(0, 3, random.integers(1, 9))])
        sides.append((random.normal(2.0 * block + change, 1.0), block.astype(str)))
    (before, block_before), (after, block_after) = sides
    return before, after, block_before, block_after


@pytest.mark.parametrize("seed", range(10))
def test_it_is_least_squares_with_a_column_a_block(seed):
    # statsmodels 0.14, OLS.
    before, after, block_before, block_after = drawn(seed)
    block = np.concatenate([block_before, block_after])
    late = np.repeat([0.0, 1.0], [before.size, after.size])
    columns = [late, *((block == name).astype(float) for name in np.unique(block))]
    fit = OLS(np.concatenate([before, after]), np.column_stack(columns)).fit()
    found = change_within_blocks(before, after, block_before, block_after)
    assert found.change == pytest.approx(fit.params[0])
    assert [found.interval.low, found.interval.high] == pytest.approx(fit.conf_int()[0].tolist())
    assert found.p == pytest.approx(fit.pvalues[0])
    assert found.freedom == fit.df_resid


def test_within_one_block_it_is_welch_s():
    before, after = np.array([4.0, 5.0, 7.0]), np.array([2.0, 1.0, 3.0, 2.5])
    found = change_within_blocks(before, after, np.full(3, "run"), np.full(4, "run"))
    assert found.p == pytest.approx(stats.ttest_ind(after, before, equal_var=False).pvalue)


def test_more_of_the_hard_activity_later_is_no_change():
    before = np.array([1.0, 1.1, 0.9, 9.0])
    after = np.array([1.0, 9.1, 8.9, 9.0])
    easy, hard = "desk", "strength"
    found = change_within_blocks(
        before, after, np.array([easy, easy, easy, hard]), np.array([easy, hard, hard, hard])
    )
    assert found.change == pytest.approx(0, abs=0.05)
    assert abs(np.mean(after) - np.mean(before)) > 3


def test_a_block_on_one_side_alone_is_refused():
    one = np.array(["a", "b"])
    with pytest.raises(ValueError):
        change_within_blocks(np.zeros(2), np.zeros(2), one, np.array(["a", "c"]))
    nothing = change_within_blocks(np.zeros(0), np.zeros(0), one[:0], one[:0])
    assert math.isnan(nothing.change)
