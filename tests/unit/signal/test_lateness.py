"""The delay that a decision on the clock leaves."""

import numpy as np
import pandas as pd
import pytest

from strapline.ground.records.alignment import ClockDecision
from strapline.method.signal.response import with_delay
from unit.signal.invented import workout

LENGTH_S, LATE_S = 2400, 9
STRAP = workout(LENGTH_S, 1)


def rows(stands_for_s=1.0, compared=True):
    late = np.concatenate([np.full(LATE_S, STRAP[0]), STRAP[:-LATE_S]])
    status = "compared" if compared else "copy_of_reference"
    return pd.DataFrame(
        {
            "reference_bpm": STRAP,
            "device_bpm": late,
            "status": status,
            "stands_for_s": stands_for_s,
        }
    )


def decision(what="refused"):
    return ClockDecision(recording="watch", offset_s=-3.0, decision=what, reason="")


@pytest.mark.parametrize("what", ["refused", "channels", "stated", "satellites", "bench"])
def test_the_delay_is_told_throughout_at_rises_and_at_falls(what):
    found = with_delay(decision(what), rows())
    for side in (found.delay, found.rising, found.falling):
        assert side.delay_s == pytest.approx(LATE_S, abs=0.5)
        assert side.low_s <= LATE_S <= side.high_s
    left = found.in_view("delay_out")
    assert left.offset_s == pytest.approx(-3 - LATE_S, abs=0.5)
    assert left.delay_s == 0 and left.rising.low_s <= 0 <= left.rising.high_s


def test_clock_and_sensor_cannot_be_parted_where_heart_rate_set_the_clock():
    assert with_delay(decision("estimated"), rows()).delay is None
    by_the_hour = decision("estimated").model_copy(update={"gross_shift_s": -3.0})
    assert with_delay(by_the_hour, rows()).delay_s == pytest.approx(LATE_S, abs=0.5)


def test_reports_a_minute_apart_tell_no_delay_and_nothing_compared_none():
    assert with_delay(decision(), rows(stands_for_s=60.0)).delay is None
    assert with_delay(decision(), rows(compared=False)).delay is None


def test_a_report_of_many_seconds_leaves_its_delay_unsure_by_half_of_them():
    every_second, seldom = (with_delay(decision(), rows(every_s)).delay for every_s in (1.0, 15.0))
    assert seldom.delay_s == every_second.delay_s
    assert seldom.low_s == pytest.approx(every_second.low_s - 7)
    assert seldom.high_s == pytest.approx(every_second.high_s + 7)


def test_where_no_delay_is_told_no_view_takes_it_out():
    assert decision().in_view("delay_out") == decision()
