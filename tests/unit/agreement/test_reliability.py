"""Intraclass correlations against a general-purpose library."""

import numpy as np
import pandas as pd
import pingouin
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strapline.method.agreement.reliability import intraclass_correlations


@pytest.mark.parametrize("seed", range(5))
def test_all_six_as_pingouin(seed):
    random = np.random.default_rng(seed)
    ratings = random.normal(0, 3, (9, 1)) + random.normal(0, 1, 4) + random.normal(0, 1, (9, 4))
    ours = intraclass_correlations(ratings)
    target, rater = np.indices(ratings.shape)
    frame = pd.DataFrame({"t": target.ravel(), "r": rater.ravel(), "v": ratings.ravel()})
    theirs = pingouin.intraclass_corr(frame, targets="t", raters="r", ratings="v")["ICC"]
    found = [ours.icc_1_1, ours.icc_2_1, ours.icc_3_1, ours.icc_1_k, ours.icc_2_k, ours.icc_3_k]
    assert found == pytest.approx(list(theirs), abs=1e-4)


@given(st.integers(0, 1000), st.floats(-20, 20))
def test_a_constant_bias_costs_agreement_but_not_consistency(seed, bias):
    random = np.random.default_rng(seed)
    ratings = random.normal(0, 3, (8, 1)) + random.normal(0, 1, (8, 2))
    ratings -= ratings.mean(axis=0)
    moved = ratings + np.array([0, bias])
    one, other = intraclass_correlations(ratings), intraclass_correlations(moved)
    assert other.icc_3_1 == pytest.approx(one.icc_3_1)
    assert other.icc_2_1 <= one.icc_2_1 + 1e-9


def test_edges():
    assert np.isnan(intraclass_correlations(np.ones((1, 3))).icc_1_1)
    assert np.isnan(intraclass_correlations(np.ones((3, 1))).icc_2_1)
    assert np.isnan(intraclass_correlations(np.ones((3, 3))).icc_3_1)
    same = intraclass_correlations(np.arange(5.0)[:, None] * np.ones(3))
    assert same.icc_1_1 == same.icc_2_k == same.icc_3_1 == 1
