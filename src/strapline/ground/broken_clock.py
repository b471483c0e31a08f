"""Times that a broken clock wrote."""

import pandas as pd

FARTHEST_HOURS = 48


def is_far_off(time: pd.Series) -> pd.Series:
    """Whether a time is more than 48 h from the median time: a clock that is broken there."""
    return (time - time.median()).abs() > pd.Timedelta(hours=FARTHEST_HOURS)
