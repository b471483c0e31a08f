"""Bands of effort in percent of the wearer's maximum heart rate."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

import numpy as np
import pandas as pd

from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.vocabulary import MaximumSource, Status

if TYPE_CHECKING:
    from strapline.ground.records.card import Body
    from strapline.ground.settings import Effort

# American College of Sports Medicine: very light below 57 %, light 57-63, moderate 64-76,
# vigorous 77-95, near-maximal from 96 % on. A band begins at its percentage and ends below the
# next one's.
EFFORT_BANDS = ("very_light", "light", "moderate", "vigorous", "near_maximal")
BAND_STARTS_PERCENT = (57.0, 64.0, 77.0, 96.0)
Formula = Literal[MaximumSource.TANAKA_2001, MaximumSource.NES_2013]


def session_maximum(aligned: pd.DataFrame, body: Body, effort: Effort) -> MaximumHeartRate | None:
    """The wearer's maximum heart rate: stated, else by age, else the highest rate of the
    reference in seconds that count. None where no second counts."""
    rates = aligned.loc[
        aligned["status"].isin([Status.COMPARED, Status.NO_DEVICE]), "reference_bpm"
    ]
    observed = float(np.max(rates.to_numpy(), initial=0))
    if observed <= 0:
        return None
    return maximum_heart_rate(body.maximum_bpm, body.age_years, observed, effort.formula)


def maximum_by_age(age_years: float, formula: Formula) -> float:
    """Expected maximum heart rate in bpm; single persons differ by about 10 bpm (SD).

    Tanaka 2001, J Am Coll Cardiol 37:153-156: 208 - 0.7 age. Nes 2013, Scand J Med Sci Sports
    23:697-704: 211 - 0.64 age, standard error of estimate 10.8 bpm.
    """
    if formula == MaximumSource.TANAKA_2001:
        return 208 - 0.7 * age_years
    return 211 - 0.64 * age_years


def maximum_heart_rate(
    stated_bpm: float | None,
    age_years: float | None,
    observed_bpm: float,
    formula: Formula,
) -> MaximumHeartRate:
    """The stated maximum, else the age formula's, else the highest rate observed."""
    if stated_bpm is not None:
        return MaximumHeartRate(stated_bpm, MaximumSource.STATED)
    if age_years is not None:
        return MaximumHeartRate(maximum_by_age(age_years, formula), formula)
    return MaximumHeartRate(observed_bpm, MaximumSource.OBSERVED)


def effort_bands(reference: np.ndarray, maximum_bpm: float) -> np.ndarray:
    """The place in EFFORT_BANDS of each heart rate in bpm, shape (n,), integers; -1 for NaN.

    What a figure is about goes by the reference's band, never by that of the device that is
    judged. Raises ValueError for a maximum that is not above 0.
    """
    if not (math.isfinite(maximum_bpm) and maximum_bpm > 0):
        raise ValueError(f"{maximum_bpm} bpm is no maximum heart rate")
    # Rounded against the dust of division: 133 of 190 bpm is 70 %.
    percent = np.round(100 * reference / maximum_bpm, 9)
    bands = np.searchsorted(BAND_STARTS_PERCENT, percent, side="right")
    return np.where(np.isnan(percent), -1, bands)
