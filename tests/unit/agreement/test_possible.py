"""No interval reaches a page that heart rates cannot have."""

import numpy as np
import pandas as pd

from strapline.method.agreement.possible import possible

MOST_BPM = 210


def test_an_interval_beyond_what_heart_rates_differ_by_is_taken_out():
    """Of bias at two sessions that differ by 100: t(1) = 12.7 times 50 is 635."""
    table = pd.DataFrame(
        {
            "unit": ["bpm", "bpm", "%", "bpm"],
            "value": [-20.0, 3.0, 300.0, 4.0],
            "low": [-655.0, -4.0, 250.0, np.nan],
            "high": [615.0, 10.0, 350.0, np.nan],
            "balanced_low": [-5.0, -211.0, -1.0, np.nan],
            "balanced_high": [5.0, 9.0, 1.0, np.nan],
        }
    )
    found = possible(table, MOST_BPM)
    pd.testing.assert_series_equal(found["value"], table["value"])
    np.testing.assert_array_equal(found["low"], [np.nan, -4, 250, np.nan])
    np.testing.assert_array_equal(found["high"], [np.nan, 10, 350, np.nan])
    np.testing.assert_array_equal(found["balanced_low"], [-5, np.nan, -1, np.nan])
    np.testing.assert_array_equal(found["balanced_high"], [5, np.nan, 1, np.nan])


def test_a_table_without_rows_stays_as_it_is():
    empty = pd.DataFrame({"unit": [], "low": [], "high": []}, dtype=float)
    assert possible(empty, MOST_BPM).empty
