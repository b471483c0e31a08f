"""Sessions before and after a firmware."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from strapline.ground.settings import OverAll
from strapline.ground.tables.archive import COMPARISONS, FINDINGS
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.claims.evidence import Evidence
from strapline.method.metrics.firmware import firmware_changes
from unit.agreement.archives import archive


def changes(*sessions):
    """Each session: its firmware and its mean absolute error, in the order of time."""
    rows = [{"mae": error, "bias": -error} for _, error in sessions]
    worn = pd.DataFrame(
        {
            "session": [f"s-{place:03}" for place in range(len(sessions))],
            "device": "watch",
            "firmware": [firmware for firmware, _ in sessions],
            "started_at": pd.date_range("2026-03-01", periods=len(sessions), tz="UTC"),
        }
    )
    found = firmware_changes(archive(*rows), worn, OverAll())
    return found[(found["activity"] == ALL_ACTIVITIES) & (found["metric"] == "mae")]


def test_change_with_welchs_interval():
    before, after = [5.0, 6.0, 5.5, 7.0], [3.0, 2.0, 4.5]
    # '10' comes after '9' in time, though not in the alphabet.
    (row,) = changes(*(("9", e) for e in before), *(("10", e) for e in after)).to_dict("records")
    expected = stats.ttest_ind(after, before, equal_var=False)
    assert (row["firmware_before"], row["firmware_after"]) == ("9", "10")
    assert row["change"] == pytest.approx(np.mean(after) - np.mean(before))
    assert row["p"] == pytest.approx(expected.pvalue)
    assert [row["low"], row["high"]] == pytest.approx(list(expected.confidence_interval()))
    assert (row["sessions_before"], row["sessions_after"]) == (4, 3)


def test_each_firmware_is_compared_with_the_one_before():
    found = changes(("1", 9.0), ("2", 5.0), ("3", 1.0))
    assert found["change"].tolist() == [-4, -4]
    assert found["low"].isna().all()


def test_a_devices_firmwares_are_named_in_the_order_they_came():
    found = changes(("9", 9.0), ("10", 5.0), ("9.5", 1.0))
    evidence = Evidence(FINDINGS.empty(), COMPARISONS.empty(), found, policy=None)
    assert evidence.firmwares() == {"watch": ["9", "10", "9.5"]}
    assert Evidence(found, found, found[:0], policy=None).firmwares() == {}


def test_sessions_without_a_stated_firmware_are_in_neither_span():
    assert changes(("1", 9.0), (None, 5.0)).empty
    assert changes(("1", 9.0), (None, 70.0), ("2", 5.0))["change"].tolist() == [-4]


def test_one_firmware_is_no_change():
    assert changes(("1", 9.0), ("1", 5.0)).empty


def of_wearers(*sessions):
    """Each session: its wearer, activity, firmware and error; in the order of time."""
    rows = [
        {"mae": error, "bias": 0.0, "wearer": wearer, "activity": activity}
        for wearer, activity, _, error in sessions
    ]
    worn = pd.DataFrame(
        {
            "session": [f"s-{place:03}" for place in range(len(sessions))],
            "device": "watch",
            "firmware": [firmware for _, _, firmware, _ in sessions],
            "started_at": pd.date_range("2026-03-01", periods=len(sessions), tz="UTC"),
        }
    )
    found = firmware_changes(archive(*rows), worn, OverAll())
    (row,) = found[(found["activity"] == ALL_ACTIVITIES) & (found["metric"] == "mae")].to_dict(
        "records"
    )
    return row


def test_what_came_with_another_wearer_does_not_count():
    # Ada's errors stay as they are, and what Bo's add came with Bo.
    ada = [("ada", "run", firmware, e) for firmware, e in (("1", 3.0), ("1", 3.2), ("2", 3.1))]
    row = of_wearers(*ada, ("bo", "run", "2", 9.0), ("bo", "run", "2", 9.5))
    assert (row["wearers"], row["minutes"]) == (1, 30)
    assert (row["sessions_before"], row["sessions_after"]) == (2, 1)
    assert row["change"] == pytest.approx(0)


def test_no_change_is_larger_than_any_there_was():
    """Two wearers, four activities, few sessions: what one activity adds for one wearer is not
    carried over to the other."""
    row = of_wearers(
        ("ada", "strength", "1", 8.2),
        ("ada", "run", "1", 5.0),
        ("bo", "intervals", "1", 7.4),
        ("bo", "ride", "1", 2.0),
        ("ada", "strength", "2", 2.1),
        ("bo", "run", "2", 1.8),
        ("ada", "intervals", "2", 1.5),
    )
    assert row["change"] == pytest.approx(2.1 - 8.2)
    assert (row["sessions_before"], row["sessions_after"], row["wearers"]) == (1, 1, 1)
    assert np.isnan(row["low"])


def test_nothing_is_told_where_nothing_was_done_alike():
    row = of_wearers(("ada", "run", "1", 8.2), ("ada", "ride", "2", 2.1))
    assert np.isnan(row["change"])
    assert (row["sessions_before"], row["sessions_after"]) == (1, 1)
