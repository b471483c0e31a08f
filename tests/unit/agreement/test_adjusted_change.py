"""A change with activity and wearer taken off, against a general library's least squares."""

import math

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from statsmodels.formula.api import ols

from strapline.method.agreement.equivalence import adjusted_change


def drawn(seed):
    """Sessions of three activities and two wearers, the later 1.5 higher."""
    random = np.random.default_rng(seed)
    n = 14
    factors = np.column_stack(
        [random.choice(["desk", "ride", "run"], n), random.choice(["a", "b"], n)]
    )
    after = np.arange(n) % 2 == 1
    figures = random.normal(1.5 * after + 4.0 * (factors[:, 0] == "run"), 1.0)
    return figures, after, factors


@pytest.mark.parametrize("seed", range(8))
def test_it_is_ordinary_least_squares(seed):
    # statsmodels 0.14, formula interface.
    figures, after, factors = drawn(seed)
    table = pd.DataFrame({"y": figures, "x": after * 1.0, "f": factors[:, 0], "g": factors[:, 1]})
    fit = ols("y ~ x + f + g", table).fit()
    found = adjusted_change(figures, after, factors)
    assert found.change == pytest.approx(fit.params["x"])
    assert [found.interval.low, found.interval.high] == pytest.approx(list(fit.conf_int().loc["x"]))
    assert found.p == pytest.approx(fit.pvalues["x"])
    assert found.freedom == fit.df_resid


def test_where_nothing_else_varies_it_is_welch_s():
    before, after = [4.0, 5.0, 7.0], [2.0, 1.0, 3.0, 2.5]
    later = np.repeat([False, True], [3, 4])
    found = adjusted_change(np.array(before + after), later, np.full((7, 2), "same"))
    assert found.p == pytest.approx(stats.ttest_ind(after, before, equal_var=False).pvalue)


def test_more_of_the_hard_activity_later_is_no_change():
    figures = np.array([1.0, 1.1, 0.9, 9.0, 1.0, 9.1, 8.9, 9.0])
    after = np.repeat([False, True], 4)
    factors = np.array([["desk"], ["desk"], ["desk"], ["run"], ["desk"], ["run"], ["run"], ["run"]])
    assert adjusted_change(figures, after, factors).change == pytest.approx(0, abs=0.05)
    assert np.mean(figures[after]) - np.mean(figures[~after]) > 3


def test_a_change_that_came_with_another_activity_cannot_be_told():
    factors = np.array([["desk"], ["desk"], ["run"], ["run"]])
    after = np.array([False, False, True, True])
    assert math.isnan(adjusted_change(np.arange(4.0), after, factors).change)
