"""The figures of `metrics.parquet` over all resamples of a session at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.agreement.pairs import NORMAL_975

if TYPE_CHECKING:
    from strapline.agreement.resampling import Blocks
    from strapline.settings import Tolerance


def metric_replicates(
    blocks: Blocks, reference: np.ndarray, device: np.ndarray, tolerance: Tolerance
) -> dict[str, np.ndarray]:
    """Every figure of UNITS for each resample, in that order, each of shape (replicates,).

    reference, device: bpm, shape (n,), one value a second in which the reference could be
    compared; NaN on either side where it was not. On `identity_blocks` they are the figures of
    `agreement_metrics`. NaN for what a resample does not define.
    """
    compared = ~(np.isnan(reference) | np.isnan(device))
    pairs = blocks.sums(compared.astype(float))

    def mean(series: np.ndarray) -> np.ndarray:
        filled = np.where(compared, series, 0.0)
        return blocks.sums(filled) / pairs

    with np.errstate(divide="ignore", invalid="ignore"):
        moments = _moments(reference, device, compared, mean)
        errors = _errors(reference, device, compared, mean, tolerance)
        maxima = _maxima(blocks, reference, device, compared)
        p95 = blocks.upper_percentiles(np.abs(device - reference), 95)
        values = moments | errors | maxima
        values["absolute_error_p95"] = p95
        sd = values["sd_of_differences"] * np.sqrt(pairs / (pairs - 1))
        bias = values["bias"]
        values |= {
            "sd_of_differences": sd,
            "limit_lower": bias - NORMAL_975 * sd,
            "limit_upper": bias + NORMAL_975 * sd,
            "coverage": 100 * pairs / blocks.n,
        }
    return values


def _moments(reference, device, compared, mean) -> dict[str, np.ndarray]:
    """Figures of means, variances (over n) and the covariance, of values about their means."""
    centre_r, centre_d = np.mean(reference[compared]), np.mean(device[compared])
    r, d = reference - centre_r, device - centre_d
    mean_r, mean_d = mean(r), mean(d)
    var_r = np.maximum(mean(r**2) - mean_r**2, 0)
    var_d = np.maximum(mean(d**2) - mean_d**2, 0)
    covariance = mean(r * d) - mean_r * mean_d
    var_e = np.maximum(mean((d - r) ** 2) - (mean_d - mean_r) ** 2, 0)
    mean_r, mean_d = mean_r + centre_r, mean_d + centre_d
    bias = mean_d - mean_r
    return {
        "mean_reference": mean_r,
        "mean_device": mean_d,
        "bias": bias,
        "bias_percent": 100 * bias / mean_r,
        "sd_of_differences": np.sqrt(var_e),
        "pearson_r": covariance / np.sqrt(var_r * var_d),
        "concordance": 2 * covariance / (var_r + var_d + bias**2),
    }


def _errors(reference, device, compared, mean, tolerance) -> dict[str, np.ndarray]:
    size = np.abs(device - reference)
    in_beats = size <= tolerance.beats
    in_percent = size <= np.abs(reference) * tolerance.percent / 100
    return {
        "mae": mean(size),
        "rmse": np.sqrt(mean(size**2)),
        "mape": 100 * mean(size / reference),
        "within_beats": 100 * mean(in_beats),
        "within_percent": 100 * mean(in_percent),
        "within_either": 100 * mean(in_beats | in_percent),
    }


def _maxima(blocks, reference, device, compared) -> dict[str, np.ndarray]:
    highest_r = blocks.maxima(np.where(compared, reference, -np.inf))
    highest_d = blocks.maxima(np.where(compared, device, -np.inf))
    gap = highest_d - highest_r
    return {
        "maximum_reference": highest_r,
        "maximum_device": highest_d,
        "maximum_difference": gap,
        "maximum_difference_percent": 100 * gap / highest_r,
    }
