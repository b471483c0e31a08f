"""Intervals that say nothing, for they leave what heart rates can be or differ by, or are too wide
to be of use: they are taken out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

if TYPE_CHECKING:
    from strapline.ground.settings import Plausibility

ENDS = (("low", "high"), ("balanced_low", "balanced_high"), ("ci_low", "ci_high"))
# Of one side alone: no differences.
OF_ONE_SIDE = ("mean_reference", "mean_device")
# Of a difference or an error: what is known no better than that is not known. Our choice.
WIDEST_BPM = 60
# Slope of the difference on the mean of both where one of the two does not move at all.
STEEPEST = 2.0


def possible(table: pd.DataFrame, believed: Plausibility) -> pd.DataFrame:
    """`table` with no interval of which an end is further from 0 than its figure can be, going by
    the lowest and the highest rate that is `believed`; nor one wider than WIDEST_BPM."""
    widest = table["unit"].astype(str).map(_in_units(WIDEST_BPM, believed)).astype(float)
    furthest = table["unit"].astype(str).map(_furthest(believed)).astype(float).fillna(np.inf)
    if "metric" in table.columns:
        one_side = table["metric"].astype(str).isin(OF_ONE_SIDE)
        furthest = furthest.mask(one_side, believed.highest_bpm)
    for ends in ENDS:
        if set(ends) <= set(table.columns):
            beyond = table[list(ends)].abs().gt(furthest, axis="index").any(axis="columns")
            beyond |= table[ends[1]] - table[ends[0]] > widest.fillna(np.inf)
            table = table.assign(**{end: table[end].mask(beyond) for end in ends})
    return table


def _furthest(believed: Plausibility) -> dict[str, float]:
    """By unit."""
    apart = believed.highest_bpm - believed.lowest_bpm
    return _in_units(apart, believed) | {"bpm/bpm": STEEPEST}


def _in_units(of_bpm: float, believed: Plausibility) -> dict[str, float]:
    return {"bpm": of_bpm, "%": 100 * of_bpm / believed.lowest_bpm}
