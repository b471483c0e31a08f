"""What each second of a heart rate adds to training load and to energy.

Each function takes bpm at 1 Hz, shape (n,), and gives as many amounts, NaN where the rate is
missing; their sum is the session's. The sums say what the wearer would have been told; none is a
measurement of the body.
"""

import numpy as np

from strapline.ground.vocabulary import Sex

# Weights of Banister's exponential: factor and exponent.
BANISTER = {Sex.MALE: (0.64, 1.92), Sex.FEMALE: (0.86, 1.67)}
# Lower ends of Edwards' zones, as shares of the highest heart rate; weighed 1 to 5.
EDWARDS_FROM = (0.5, 0.6, 0.7, 0.8, 0.9)
# Keytel's coefficients: constant, heart rate, weight, age; kJ a minute.
KEYTEL = {
    Sex.MALE: (-55.0969, 0.6309, 0.1988, 0.2017),
    Sex.FEMALE: (-20.4022, 0.4472, -0.1263, 0.0740),
}


def banister_trimp(
    rate_bpm: np.ndarray, resting_bpm: float, highest_bpm: float, sex: Sex
) -> np.ndarray:
    """Training impulse, in arbitrary units: minutes × x × a·exp(b·x).

    x is the share of the heart rate reserve, from 0 to 1. Banister 1991, as in Morton,
    Fitz-Clarke and Banister 1990; formula and weights from memory. Raises ValueError if the
    highest rate is not above the resting one.
    """
    if highest_bpm <= resting_bpm:
        raise ValueError("the highest heart rate must be above the resting one")
    factor, exponent = BANISTER[sex]
    reserve = np.clip((rate_bpm - resting_bpm) / (highest_bpm - resting_bpm), 0, 1)
    impulse: np.ndarray = reserve * factor * np.exp(exponent * reserve) / 60
    return impulse


def edwards_load(rate_bpm: np.ndarray, highest_bpm: float) -> np.ndarray:
    """Minutes in five zones of the highest heart rate, weighed 1 to 5.

    Zones begin at 50, 60, 70, 80 and 90 %. Edwards 1993, from memory.
    """
    # Rounded against the dust of multiplication.
    limits = np.round(highest_bpm * np.array(EDWARDS_FROM), 9)
    zone = np.searchsorted(limits, rate_bpm, side="right")
    return np.where(np.isnan(rate_bpm), np.nan, zone / 60)


def keytel_energy_kj(rate_bpm: np.ndarray, sex: Sex, weight_kg: float, age: float) -> np.ndarray:
    """Energy in kJ, by the regression on heart rate without fitness; never below 0 in a second.

    Keytel et al. 2005, Journal of Sports Sciences 23(3), coefficients from memory. It was made
    on exercise from about 90 to 150 bpm; at rest it says little.
    """
    constant, by_rate, by_weight, by_age = KEYTEL[sex]
    a_minute = constant + by_rate * rate_bpm + by_weight * weight_kg + by_age * age
    energy: np.ndarray = np.maximum(a_minute, 0) / 60
    return energy
