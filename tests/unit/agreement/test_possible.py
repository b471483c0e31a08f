"""No interval reaches a page that heart rates cannot have."""

import numpy as np
import pandas as pd

from strapline.ground.settings import Plausibility
from strapline.method.agreement.possible import possible

# Differences of up to 210 bpm, which are 700 % of the lowest rate.
BELIEVED = Plausibility(lowest_bpm=30, highest_bpm=240)


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
    found = possible(table, BELIEVED)
    pd.testing.assert_series_equal(found["value"], table["value"])
    np.testing.assert_array_equal(found["low"], [np.nan, -4, 250, np.nan])
    np.testing.assert_array_equal(found["high"], [np.nan, 10, 350, np.nan])
    np.testing.assert_array_equal(found["balanced_low"], [-5, np.nan, -1, np.nan])
    np.testing.assert_array_equal(found["balanced_high"], [5, np.nan, 1, np.nan])


def test_so_is_one_that_is_too_wide_to_print():
    """A mean error of 4.5 bpm that may be 1 or 149; of the lowest rate 60 bpm are 200 %."""
    table = pd.DataFrame(
        {
            "unit": ["bpm", "bpm", "%", "%"],
            "low": [1.1, -31.0, 0.0, 0.0],
            "high": [149.4, 28.0, 201.0, 199.0],
        }
    )
    np.testing.assert_array_equal(possible(table, BELIEVED)["low"], [np.nan, -31, np.nan, 0])


def test_so_are_those_of_a_session_and_of_ratios():
    """A root mean square error may be no larger than two rates differ by, a mean rate is one."""
    figures = {
        "rmse": ("bpm", 3.7, 2121.6),
        "mae": ("bpm", 1.7, np.inf),
        "sd_of_differences": ("bpm", 3.7, 20.0),
        "mean_device": ("bpm", 190.0, 215.0),
        "mape": ("%", 3.0, 701.0),
        "proportional_slope": ("bpm/bpm", -2.1, 0.4),
        "effective_n": ("1", 100.0, 900.0),
    }
    table = pd.DataFrame(
        [(name, *row) for name, row in figures.items()],
        columns=["metric", "unit", "ci_low", "ci_high"],
    )
    found = possible(table, BELIEVED).dropna()
    assert list(found["metric"]) == ["sd_of_differences", "mean_device", "effective_n"]


def test_a_table_without_rows_stays_as_it_is():
    empty = pd.DataFrame({"unit": [], "low": [], "high": []}, dtype=float)
    assert possible(empty, BELIEVED).empty
