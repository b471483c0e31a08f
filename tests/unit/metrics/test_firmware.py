"""Sessions before and after a firmware."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES
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


def test_sessions_without_a_stated_firmware_are_in_neither_span():
    assert changes(("1", 9.0), (None, 5.0)).empty
    assert changes(("1", 9.0), (None, 70.0), ("2", 5.0))["change"].tolist() == [-4]


def test_one_firmware_is_no_change():
    assert changes(("1", 9.0), ("1", 5.0)).empty


def test_who_wore_it_is_taken_off():
    # Ada's errors stay as they are, and what Bo's add came with Bo.
    errors = [("ada", 3.0), ("ada", 3.2), ("ada", 3.1), ("bo", 9.0), ("bo", 9.5)]
    rows = [{"mae": error, "bias": 0.0, "wearer": wearer} for wearer, error in errors]
    worn = pd.DataFrame(
        {
            "session": [f"s-{place:03}" for place in range(5)],
            "device": "watch",
            "firmware": ["1", "1", "2", "2", "2"],
            "started_at": pd.date_range("2026-03-01", periods=5, tz="UTC"),
        }
    )
    found = firmware_changes(archive(*rows), worn, OverAll())
    (row,) = found[(found["activity"] == ALL_ACTIVITIES) & (found["metric"] == "mae")].to_dict(
        "records"
    )
    assert (row["wearers"], row["minutes"]) == (1, 60)
    assert (row["sessions_before"], row["sessions_after"]) == (2, 3)
    assert row["change"] == pytest.approx(0)
