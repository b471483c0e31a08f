import numpy as np
import pytest

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Effort, Intervals, Tolerance
from strapline.method.metrics import registry
from strapline.method.metrics.session_metrics import session_metrics
from strapline.method.signal.response import with_delay
from unit.agreement.grids import grid, intake
from unit.signal.invented import workout

RATE = workout(1800, 1)
IN_ORDER = [metric.key for metric in registry.given("whole session in order")]


def found(status, device, **sizes):
    table = grid(status, device, reference=RATE[: len(status)], **sizes)
    left = ClockDecision(recording="watch", offset_s=0, decision="refused", reason="")
    clocks = {"watch": with_delay(left, table)}
    rows = session_metrics(table, intake(), None, Tolerance(), Intervals(), Effort(), clocks)
    return rows[rows["metric"].isin(IN_ORDER)].set_index("metric")


def test_delay_and_lock_are_figures_with_their_unit():
    late = np.concatenate([np.full(90, 30.0), RATE[84:-6]])
    values = found(["compared"] * 1800, late)
    assert values.loc["delay_rising", "value"] == pytest.approx(6, abs=0.5)
    assert values.loc["delay_falling", "ci_low"] <= values.loc["delay_falling", "value"]
    assert values.loc["first_lock", "value"] == pytest.approx(90, abs=30)
    assert set(values["unit"]) == {"s"}


@pytest.mark.parametrize("why", ["reference_flat", "before_recording"])
def test_the_lock_counts_from_when_it_could_be_told(why):
    device = np.where(np.arange(1800) < 75, RATE + 40, RATE)
    status = [why] * 60 + ["compared"] * 1740
    assert found(status, device).loc["first_lock", "value"] == 15


def test_a_device_that_never_comes_near_has_no_lock():
    assert np.isnan(found(["compared"] * 1800, RATE + 40).loc["first_lock", "value"])


def test_nothing_of_it_for_a_report_a_minute_or_no_comparison():
    assert found(["compared"] * 1800, RATE, stands_for=60).empty
    assert found(["no_device"] * 30, [np.nan] * 30).empty
