import numpy as np
import pytest

from strapline.ground.settings import Effort, Intervals, Tolerance
from strapline.method.metrics.sensitivity import sensitivity
from strapline.method.metrics.session_metrics import session_metrics
from unit.agreement.grids import grid, intake


def found(table):
    return sensitivity(table, intake(), Tolerance()).set_index(["scope", "metric"])


def test_without_cuts_the_doubtful_seconds_count():
    status = ["compared"] * 60 + ["reference_flat"] * 20 + ["excluded: fell"] * 20
    values = found(grid(status, [102.0] * 60 + [112.0] * 40))
    assert values.loc[("uncut", "bias"), "value"] == pytest.approx(6)
    assert values.loc[("uncut", "bias"), "n"] == 100
    assert values.loc[("epoch:5", "bias"), "value"] == pytest.approx(2)


def test_noise_averages_out_over_epochs_and_bias_does_not():
    device = 104 + 6 * (-1.0) ** np.arange(600)
    table = grid(["compared"] * 600, device)
    values = found(table)
    whole = session_metrics(table, intake(), None, Tolerance(), Intervals(), Effort())
    whole = whole.set_index(["scope", "metric"])
    assert whole.loc[("whole", "mae"), "value"] == pytest.approx(6)
    for scope in ("epoch:5", "epoch:15", "epoch:60"):
        assert values.loc[(scope, "bias"), "value"] == pytest.approx(4)
        assert values.loc[(scope, "mae"), "value"] == pytest.approx(4, abs=0.01)
        assert values.loc[(scope, "mae"), "n"] == 600


def test_a_set_aside_session_still_tells_how_it_would_read():
    values = found(grid(["reference_set_aside"] * 30, [101.0] * 30))
    assert list(values.index.unique("scope")) == ["uncut"]
    assert values.loc[("uncut", "mae"), "value"] == 1


def test_a_copy_of_the_reference_and_a_missing_device_tell_nothing():
    assert found(grid(["copy_of_reference"] * 30, [100.0] * 30)).empty
    assert found(grid(["no_device"] * 30, [np.nan] * 30)).empty


def test_a_report_a_minute_is_not_averaged_further():
    values = found(grid(["compared"] * 180, [102.0] * 180, stands_for=60))
    assert list(values.index.unique("scope")) == ["uncut"]
    assert values.loc[("uncut", "bias"), "n"] == 180
