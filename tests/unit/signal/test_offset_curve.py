import numpy as np
import pytest

from strapline.method.signal.comparison import errors_by_offset
from strapline.method.signal.trace import Trace

SECONDS = np.arange(1000.0, 1601)
REFERENCE = Trace(SECONDS, 120 + 30 * np.sin(SECONDS / 40))


def test_the_error_is_least_at_the_true_offset():
    late = Trace(SECONDS + 7, REFERENCE.rate)
    curve = errors_by_offset(REFERENCE, late, SECONDS, 10).set_index("offset_s")
    assert list(curve.index) == list(range(-60, 61))
    assert curve["mae"].idxmin() == -7
    assert curve.loc[-7, "mae"] == pytest.approx(0)
    high = errors_by_offset(REFERENCE, Trace(SECONDS + 7, REFERENCE.rate + 2), SECONDS, 10)
    assert high.set_index("offset_s").loc[-7].to_dict() == pytest.approx(
        {"mae": 2, "bias": 2, "n": 601}
    )


def test_at_no_offset_it_is_the_plain_error(worked_example):
    # delay7_synthetic.csv states 2.64225 before alignment.
    table = worked_example("delay7_synthetic.csv")
    seconds = table["t"].to_numpy(dtype=float)
    reference = Trace(seconds, table["ref"].to_numpy())
    device = Trace(seconds, table["dev_delay7"].to_numpy())
    curve = errors_by_offset(reference, device, seconds, 10).set_index("offset_s")
    assert curve.loc[0, "mae"] == pytest.approx(2.64225, abs=1e-5)
    assert curve["mae"].idxmin() == -7


def test_only_the_given_seconds_count():
    device = Trace(SECONDS, np.where(SECONDS < 1300, REFERENCE.rate, 0))
    curve = errors_by_offset(REFERENCE, device, SECONDS[:200], 10).set_index("offset_s")
    assert curve.loc[0, "mae"] == pytest.approx(0)


def test_nothing_to_shift():
    sparse = Trace(SECONDS[::60], REFERENCE.rate[::60])
    assert errors_by_offset(REFERENCE, sparse, SECONDS, 10).empty
    assert errors_by_offset(REFERENCE, REFERENCE, SECONDS[:0], 10).empty
    far = Trace(SECONDS + 5000, REFERENCE.rate)
    assert errors_by_offset(REFERENCE, far, SECONDS, 10).empty
