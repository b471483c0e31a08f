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

    n: int
    bias: float
    sd: float
    lower: float
    upper: float


def limits_of_agreement(reference: np.ndarray, device: np.ndarray) -> LimitsOfAgreement:
    """Bland & Altman 1986, Lancet 327:307-310: bias ± 1.96 SD. SD is NaN for one pair."""
    difference = device - reference
    bias, sd = float(np.mean(difference)), sample_sd(difference)
    return LimitsOfAgreement(
        difference.size, bias, sd, bias - NORMAL_975 * sd, bias + NORMAL_975 * sd
    )


@dataclass(frozen=True)
class Errors:
    """Sizes of error: mean, root mean square and 95th percentile in bpm, mean in percent."""

    mae: float
    rmse: float
    p95: float
    mape: float


def errors(reference: np.ndarray, device: np.ndarray) -> Errors:
    """MAPE is NaN where a reference value is 0; the percentile interpolates linearly."""
    difference = np.abs(device - reference)
    mape = np.mean(difference / reference) * 100 if np.all(reference != 0) else np.nan
    return Errors(
        mae=float(np.mean(difference)),
        rmse=float(np.sqrt(np.mean(difference**2))),
        p95=float(np.percentile(difference, 95)),
        mape=float(mape),
    )


@dataclass(frozen=True)
class SharesWithin:
    """Percent of pairs within a fixed, a relative and the wider of both tolerances."""

    beats: float
    percent: float
    either: float


def shares_within(
    reference: np.ndarray, device: np.ndarray, beats: float, percent: float
) -> SharesWithin:
    """Bounds count as within. The wider of ±5 bpm and ±10 % is the accuracy asked of heart-rate
    meters by EC13 and IEC 60601-2-27 (from memory)."""
    difference = np.abs(device - reference)
    allowed = np.abs(reference) * percent / 100
    within_beats, within_percent = difference <= beats, difference <= allowed
    return SharesWithin(
        beats=float(np.mean(within_beats) * 100),
        percent=float(np.mean(within_percent) * 100),
        either=float(np.mean(within_beats | within_percent) * 100),
    )


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
