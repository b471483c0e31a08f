"""A change within strata, against a general library's least squares and sums by hand."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats
from statsmodels.formula.api import ols

from strapline.method.agreement.equivalence import change_within


def drawn(seed):
    """Sessions in four strata, each with some of both sides, the later 1.5 higher."""
    random = np.random.default_rng(seed)
    strata = np.array([*"aabbccdd", *random.choice(list("abcd"), 8)])
    after = np.array([False, True] * 8)
    return random.normal(1.5 * after + 4.0 * (strata == "a"), 1.0), after, strata


@pytest.mark.parametrize("seed", range(8))
def test_it_is_ordinary_least_squares(seed):
    # statsmodels 0.14, formula interface.
    figures, after, strata = drawn(seed)
    table = pd.DataFrame({"y": figures, "x": after * 1.0, "s": strata})
    fit = ols("y ~ x + s", table).fit()
    found = change_within(figures, after, strata)
    assert found.change == pytest.approx(fit.params["x"])
    assert [found.interval.low, found.interval.high] == pytest.approx(list(fit.conf_int().loc["x"]))
    assert found.p == pytest.approx(fit.pvalues["x"])
    assert found.freedom == fit.df_resid


@pytest.mark.parametrize("seed", range(8))
def test_it_is_the_mean_of_what_strata_differ_by(seed):
    """Weighted by n1 n2 / (n1 + n2), as Cochran 1954 has it (from memory)."""
    figures, after, strata = drawn(seed)
    differences, weights = [], []
    for word in "abcd":
        before, later = figures[(strata == word) & ~after], figures[(strata == word) & after]
        differences.append(later.mean() - before.mean())
        weights.append(before.size * later.size / (before.size + later.size))
    expected = np.average(differences, weights=weights)
    assert change_within(figures, after, strata).change == pytest.approx(expected)


def test_in_one_stratum_it_is_welch_s():
    before, after = [4.0, 5.0, 7.0], [2.0, 1.0, 3.0, 2.5]
    later = np.repeat([False, True], [3, 4])
    found = change_within(np.array(before + after), later, np.full(7, "same"))
    assert found.p == pytest.approx(stats.ttest_ind(after, before, equal_var=False).pvalue)


def test_more_of_the_hard_activity_later_is_no_change():
    figures = np.array([1.0, 1.1, 0.9, 9.0, 1.0, 9.1, 8.9, 9.0])
    after = np.repeat([False, True], 4)
    strata = np.array(["desk", "desk", "desk", "run", "desk", "run", "run", "run"])
    assert change_within(figures, after, strata).change == pytest.approx(0, abs=0.05)
    assert np.mean(figures[after]) - np.mean(figures[~after]) > 3


def test_a_stratum_of_one_side_is_refused():
    strata, after = np.array(["desk", "desk", "run"]), np.array([False, True, True])
    with pytest.raises(ValueError, match="one side"):
        change_within(np.arange(3.0), after, strata)
