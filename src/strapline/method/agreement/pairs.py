"""Agreement of one device with the reference over pairs of simultaneous heart rates.

Throughout, `reference` and `device` are arrays of shape (n,) in bpm, second by second, without
missing values; differences are device minus reference; percentages are of the reference.
"""

from dataclasses import dataclass

import numpy as np

# 97.5 % point of the normal distribution, as Bland & Altman print it.
NORMAL_975 = 1.96


@dataclass(frozen=True)
class LimitsOfAgreement:
    """Bias, standard deviation of the differences (n - 1) and 95 % limits, all in bpm."""

    bias: float
    sd: float
    lower: float
    upper: float


def limits_of_agreement(reference: np.ndarray, device: np.ndarray) -> LimitsOfAgreement:
    """Bland & Altman 1986, Lancet 327:307-310: bias ± 1.96 SD. SD is NaN for one pair."""
    difference = device - reference
    bias, sd = float(np.mean(difference)), sample_sd(difference)
    return LimitsOfAgreement(bias, sd, bias - NORMAL_975 * sd, bias + NORMAL_975 * sd)


def pearson_r(reference: np.ndarray, device: np.ndarray) -> float:
    """Product-moment correlation; NaN where one side does not vary."""
    a, b = reference - np.mean(reference), device - np.mean(device)
    scale = np.sqrt(np.sum(a**2) * np.sum(b**2))
    return float(np.sum(a * b) / scale) if scale > 0 else np.nan


def concordance(reference: np.ndarray, device: np.ndarray) -> float:
    """Lin's concordance correlation coefficient, with moments over n.

    Lin 1989, Biometrics 45:255-268, corrected 2000, 56:324-325. NaN where neither side varies
    and both are equal.
    """
    a, b = np.mean(reference), np.mean(device)
    covariance = np.mean((reference - a) * (device - b))
    spread = np.var(reference) + np.var(device) + (a - b) ** 2
    return float(2 * covariance / spread) if spread > 0 else np.nan


def percent_of_reference(difference: float, reference: float) -> float:
    """A difference in percent of the reference (common practice, no source)."""
    return difference / reference * 100 if reference else float("nan")


def sample_sd(values: np.ndarray) -> float:
    """Over n - 1; NaN for fewer than two."""
    return float(np.std(values, ddof=1)) if values.size > 1 else float("nan")
