"""First-order responses, against scipy's filter."""

import numpy as np
import pytest
from scipy.signal import lfilter

from strapline.method.signal.response_fit import first_order


@pytest.mark.parametrize("tau_s", [5.0, 34.0])
def test_a_first_order_response_as_scipy(tau_s):
    rates = 130 + np.cumsum(np.random.default_rng(1).normal(0, 2, 300))
    keep = np.exp(-1 / tau_s)
    theirs = lfilter([1 - keep], [1, -keep], rates, zi=[keep * rates[0]])[0]
    assert first_order(rates, tau_s) == pytest.approx(theirs, rel=1e-12)
