"""How the error depends on the clocks: the same session at every offset of the device's."""

import numpy as np
import pandas as pd

from strapline.method.signal.trace import Trace

REACH_S = 60


def errors_by_offset(
    reference: Trace, device: Trace, seconds: np.ndarray, longest_gap_s: float
) -> pd.DataFrame:
    """Mean absolute error and bias in bpm at each whole offset within ±60 s.

    `seconds` are those that may be compared. A row an offset (added to the device's times) at
    which any second can be compared: offset_s, mae, bias, n. Empty for a recording that reports
    too seldom for a line: a shift of a minute means nothing to it.
    """
    offsets = np.arange(-REACH_S, REACH_S + 1)
    lines = reference.spacing.by_line and device.spacing.by_line
    if seconds.size == 0 or not lines:
        return pd.DataFrame({"offset_s": [], "mae": [], "bias": [], "n": []})
    expected = reference.at(seconds, longest_gap_s)
    wide = np.arange(seconds[0] - REACH_S, seconds[-1] + REACH_S + 1)
    read = device.at(wide, longest_gap_s)
    place = (seconds - wide[0]).astype(int)
    rows = []
    for offset in offsets:
        difference = read[place - offset] - expected
        known = difference[~np.isnan(difference)]
        if known.size:
            rows.append((offset, np.abs(known).mean(), known.mean(), known.size))
    return pd.DataFrame(rows, columns=["offset_s", "mae", "bias", "n"])
