"""From the aligned grid to the table: peaks, recovery, and what cannot be told."""

import numpy as np
import pandas as pd
import pytest

from strapline.ground.records.card import Body, Card
from strapline.ground.records.register import Register
from strapline.ground.settings import Alarm, Effort, Intervals
from strapline.method.consequences.session_consequences import session_consequences
from strapline.reading.session.inference import describe
from unit.consequences.steps_of_effort import BODY, aligned, ladder


def told(rows, body=BODY, alarm=None):
    intake = describe("s", "S", [], Card(wearer="w", body=body), Register(), "UTC", {})
    settings = Effort(), alarm or Alarm(), Intervals(replicates=200)
    return session_consequences(rows, intake, *settings)


def one(table, quantity):
    """The row of the whole session."""
    rows = table[(table["quantity"] == quantity) & table["at_s"].isna()]
    (row,) = rows.to_dict("records")
    return row


def efforts(ends=(300, 700, 1100), highest=(178.0, 180.0, 175.0)):
    """Two minutes of rise from 100 bpm to each peak, and a fall of 1 bpm a second from it."""
    rate = np.full(1400, 100.0)
    for end, top in zip(ends, highest, strict=True):
        rate[end - 120 : end + 1] = np.linspace(100, top, 121)
        fall = np.maximum(top - np.arange(1, 200), 100)
        rate[end + 1 : end + 200] = fall
    return rate


def later(rate, seconds):
    return np.concatenate([np.full(seconds, rate[0]), rate[:-seconds]])


def test_a_row_says_what_it_is_of():
    table = told(aligned(ladder(), ladder() - 20))
    row = one(table, "band:vigorous")
    assert (row["session"], row["wearer"], row["device"]) == ("s", "w", "watch")
    assert row["alignment"] == "settled"
    assert (row["unit"], row["from_bpm"], row["n"]) == ("min", 154, 900)
    assert (row["reference_value"], row["device_value"]) == (pytest.approx(2), pytest.approx(1))
    assert row["difference"] == pytest.approx(-1)


def test_the_alarm_goes_at_its_share_of_the_maximum_in_whole_beats():
    body = BODY.model_copy(update={"maximum_bpm": 187.0})
    assert one(told(aligned(ladder(), ladder()), body), "above")["from_bpm"] == 159
    table = told(aligned(ladder(), ladder()), alarm=Alarm(percent=70))
    row = one(table, "above")
    assert (row["from_bpm"], row["reference_value"]) == (140, pytest.approx(3))


def test_each_view_of_the_clocks_is_told():
    views = [
        aligned(ladder(), ladder() - d, alignment=v) for v, d in (("delay_out", 20), ("settled", 0))
    ]
    table = told(pd.concat(views))
    wrong = table[table["quantity"] == "wrong_band"].set_index("alignment")["device_value"]
    assert wrong["delay_out"] == pytest.approx(10)
    assert wrong["settled"] == 0


def test_seconds_not_compared_count_for_neither():
    device = ladder()
    status = np.full(device.size, "compared", dtype=object)
    device[:60], status[:60] = np.nan, "no_device"
    status[-60:] = "excluded: strap moved"
    table = told(aligned(ladder(), device, status))
    assert one(table, "wrong_band")["n"] == 900 - 120
    assert one(table, "band:very_light")["reference_value"] == pytest.approx(4)
    assert one(table, "band:near_maximal")["reference_value"] == 0
    for load in ("banister", "edwards", "energy"):
        assert one(table, load)["difference"] == pytest.approx(0)


def test_a_report_that_stands_for_a_minute_counts_a_minute_on_either_side():
    """Fifteen reports, each the mean of its minute, but one of 120 is 140: a minute in a wrong
    band."""
    device = ladder()
    device[300:360] = 140
    table = told(aligned(ladder(), device, stands_for_s=60.0))
    assert one(table, "wrong_band")["device_value"] == pytest.approx(1)
    assert one(table, "wrong_band")["n"] == 900
    assert one(table, "band:light")["reference_value"] == pytest.approx(4)
    assert one(table, "energy")["difference"] == pytest.approx(0.6309 * 20)
    assert not table["quantity"].isin(["peak", "recovery"]).any()


def test_peaks_are_as_far_off_and_as_late_as_made():
    reference = efforts()
    table = told(aligned(reference, later(reference, 6) - 4))
    heights = table[(table["quantity"] == "peak") & table["at_s"].notna()]
    assert heights["at_s"].tolist() == pytest.approx([300, 700, 1100], abs=1)  # smoothed
    assert heights["difference"].tolist() == pytest.approx([-4, -4, -4])
    late = table[(table["quantity"] == "peak_delay") & table["at_s"].notna()]
    assert late["difference"].tolist() == [6, 6, 6]
    whole = one(table, "peak")
    assert (whole["difference"], whole["n"]) == (pytest.approx(-4), 3)
    assert np.isnan(whole["low"])  # They do not differ.


def test_the_interval_over_peaks_is_students():
    """Heights off by −2, −4 and −9: mean −5, SD 3.606, t of 2 degrees 4.303; by hand ±8.96."""
    reference = efforts()
    device = reference.copy()
    for start, end, off in ((0, 500, 2), (500, 900, 4), (900, 1400, 9)):
        device[start:end] -= off
    row = one(told(aligned(reference, device)), "peak")
    assert row["difference"] == pytest.approx(-5)
    assert (row["low"], row["high"]) == pytest.approx((-13.96, 3.96), abs=0.01)


def test_a_device_without_a_peak_of_its_own_is_not_called_late():
    reference = efforts()
    table = told(aligned(reference, np.linspace(100, 160, 1400)))
    assert (table["quantity"] == "peak").sum() == 4
    assert not (table["quantity"] == "peak_delay").any()


def test_recovery_is_the_fall_within_a_minute_after_the_highest_peak():
    """The reference falls by 1 bpm a second from 180 and is within 5 bpm of its peak (smoothed:
    178.7) for 6 s more, so after a minute it has fallen by 66 bpm less what smoothing takes. The
    device falls half as fast."""
    reference = efforts()
    device = reference.copy()
    device[701:900] = np.maximum(180 - 0.5 * np.arange(1, 200), 100)
    table = told(aligned(reference, device))
    (row,) = table[table["quantity"] == "recovery"].to_dict("records")
    assert row["at_s"] == 706
    assert row["reference_value"] == pytest.approx(66, abs=2)
    assert row["device_value"] == pytest.approx(33, abs=2)
    assert row["difference"] == pytest.approx(-33, abs=2)


def test_no_recovery_where_the_session_ends_or_the_effort_was_light_or_nobody_knows():
    reference = efforts()
    ends_soon = aligned(reference, reference).iloc[:740]
    assert "recovery" not in set(told(ends_soon)["quantity"])
    light = efforts(highest=(130.0, 140.0, 135.0))
    assert "recovery" not in set(told(aligned(light, light))["quantity"])
    assert "recovery" not in set(told(aligned(reference, reference), Body())["quantity"])
    gap = reference.copy()
    gap[760:775] = np.nan
    assert "recovery" not in set(told(aligned(reference, gap))["quantity"])


def test_a_dip_within_the_effort_is_not_its_end():
    reference = efforts()
    reference[705:735] = 165
    reference[735:760] = 178
    reference[760:900] = np.maximum(178 - np.arange(140), 100)
    (row,) = told(aligned(reference, reference)).query("quantity == 'recovery'").to_dict("records")
    assert row["at_s"] > 755


def test_without_a_body_the_bands_go_by_the_highest_reading_and_no_load_is_told():
    table = told(aligned(ladder(), ladder()), Body())
    assert one(table, "band:near_maximal")["from_bpm"] == pytest.approx(0.96 * 195)
    assert not table["quantity"].isin(["banister", "edwards", "energy", "recovery"]).any()


def test_nothing_compared_tells_nothing():
    rate = np.full(60, 120.0)
    assert len(told(aligned(rate, rate, np.full(60, "copy_of_reference")))) == 0
    assert len(told(aligned(rate, np.full(60, np.nan)))) == 0
    assert len(told(aligned(rate[:0], rate[:0]))) == 0


def test_a_single_second_is_told():
    table = told(aligned([120.0], [150.0]))
    assert one(table, "wrong_band")["device_value"] == pytest.approx(1 / 60)


def test_the_same_session_gives_the_same_table():
    rows = aligned(efforts(), later(efforts(), 4) + np.sin(np.arange(1400)))
    pd.testing.assert_frame_equal(told(rows), told(rows))
