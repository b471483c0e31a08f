"""Agreement figures against general-purpose libraries, on random data and at the edges."""

import numpy as np
import pingouin
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import stats

from strapline.ground.settings import Tolerance
from strapline.method.agreement.pairs import (
    concordance,
    limits_of_agreement,
    pearson_r,
    percent_of_reference,
)
from strapline.method.metrics import registry
from strapline.method.metrics.compared import Compared

rates = arrays(float, 30, elements=st.floats(40, 220))


def figure(name, reference, device):
    return registry.metric(name).value(Compared(reference, device, Tolerance(beats=5, percent=10)))


@given(rates, rates)
def test_limits_as_numpy(reference, device):
    limits = limits_of_agreement(reference, device)
    difference = device - reference
    assert limits.bias == pytest.approx(difference.mean())
    assert limits.sd == pytest.approx(difference.std(ddof=1))
    assert limits.upper - limits.lower == pytest.approx(2 * 1.96 * limits.sd)


@given(rates, rates)
def test_swapping_sides_turns_the_limits_over(reference, device):
    one, other = limits_of_agreement(reference, device), limits_of_agreement(device, reference)
    assert one.bias == pytest.approx(-other.bias)
    assert one.lower == pytest.approx(-other.upper)
    assert concordance(reference, device) == pytest.approx(
        concordance(device, reference), nan_ok=True
    )


def test_pearson_as_scipy():
    random = np.random.default_rng(1)
    for _ in range(20):
        a = random.normal(120, 20, 50)
        b = a + random.normal(3, 10, 50)
        assert pearson_r(a, b) == pytest.approx(stats.pearsonr(a, b).statistic)
        assert pingouin.corr(a, b)["r"].item() == pytest.approx(pearson_r(a, b))


@given(rates, st.floats(-30, 30))
def test_a_shift_costs_concordance_but_not_correlation(reference, shift):
    if np.ptp(reference) < 1:
        return
    device = reference + shift
    assert pearson_r(reference, device) == pytest.approx(1, abs=1e-6)
    expected = 2 * reference.var() / (2 * reference.var() + shift**2)
    assert concordance(reference, device) == pytest.approx(expected, rel=1e-6)


@given(rates)
def test_concordance_is_one_only_for_identity(reference):
    if np.ptp(reference) < 1:
        return
    assert concordance(reference, reference) == pytest.approx(1)
    assert concordance(reference, reference * 1.1) < 1 - 1e-6


@given(rates, rates)
def test_order_of_sizes(reference, device):
    figures = ("mae", "rmse", "absolute_error_p95")
    mae, rmse, p95 = (figure(name, reference, device) for name in figures)
    slack = 1e-9
    assert abs(np.mean(device - reference)) <= mae + slack
    assert mae <= rmse + slack
    assert p95 <= np.abs(device - reference).max() + slack


def test_the_wider_tolerance_by_hand():
    reference = np.array([40.0, 40, 100, 100, 100])
    device = np.array([45.0, 44, 106, 110, 111])
    figures = ("within_beats", "within_percent", "within_either")
    assert [figure(name, reference, device) for name in figures] == [40, 60, 80]


def test_percent_of_the_reference():
    # Common practice, no source: 139 and 107 read as -23.0 %, 163 and 136 as -16.6 %.
    assert percent_of_reference(107 - 139, 139) == pytest.approx(-23.0, abs=0.05)
    assert percent_of_reference(136 - 163, 163) == pytest.approx(-16.6, abs=0.05)


def test_one_pair_and_equal_pairs():
    limits = limits_of_agreement(np.array([100.0]), np.array([103.0]))
    assert limits.bias == 3 and np.isnan(limits.sd)
    assert np.isnan(pearson_r(np.array([100.0]), np.array([103.0])))
    same = np.full(10, 100.0)
    assert np.isnan(concordance(same, same))
    assert np.isnan(figure("mape", np.array([0.0, 100]), np.array([1.0, 100])))
