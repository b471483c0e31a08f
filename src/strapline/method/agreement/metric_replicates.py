"""The figures of `metrics.parquet` over all resamples of a session at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.agreement.pairs import NORMAL_975

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance
    from strapline.method.agreement.resampling import Blocks


Mean = Callable[[np.ndarray], np.ndarray]


def metric_replicates(
    blocks: Blocks, reference: np.ndarray, device: np.ndarray, tolerance: Tolerance
) -> dict[str, np.ndarray]:
    """The figures of UNITS for each resample, each of shape (replicates,).

    reference, device: bpm, shape (n,), one value a second in which the reference could be
    compared; NaN on either side where it was not. On `identity_blocks` they are the figures of
    `agreement_metrics`. Maxima are not among them, nor is the 95th percentile, whose interval
    needs only the share of errors below it. NaN for what a resample does not define.
    """
    compared = ~(np.isnan(reference) | np.isnan(device))
    pairs = blocks.sums(compared.astype(float))

    def mean(series: np.ndarray) -> np.ndarray:
        means: np.ndarray = blocks.sums(np.where(compared, series, 0.0)) / pairs
        return means

    with np.errstate(divide="ignore", invalid="ignore"):
        return (
            _moments(reference, device, compared, mean, pairs / (pairs - 1))
            | _errors(reference, device, mean, tolerance)
            | {"coverage": 100 * pairs / blocks.n}
        )


def _moments(
    reference: np.ndarray, device: np.ndarray, compared: np.ndarray, mean: Mean, ratio: np.ndarray
) -> dict[str, np.ndarray]:
    """Figures of means, variances and the covariance; `ratio` is n / (n - 1)."""
    # About the session's means, so that squares keep their digits.
    centre_r, centre_d = np.mean(reference[compared]), np.mean(device[compared])
    r, d = reference - centre_r, device - centre_d
    mean_r, mean_d = mean(r), mean(d)
    var_r = np.maximum(mean(r**2) - mean_r**2, 0)
    var_d = np.maximum(mean(d**2) - mean_d**2, 0)
    var_e = np.maximum(mean((d - r) ** 2) - (mean_d - mean_r) ** 2, 0)
    covariance = mean(r * d) - mean_r * mean_d
    mean_r, mean_d = mean_r + centre_r, mean_d + centre_d
    bias, sd = mean_d - mean_r, np.sqrt(var_e * ratio)
    return {
        "mean_reference": mean_r,
        "mean_device": mean_d,
        "bias": bias,
        "bias_percent": 100 * bias / mean_r,
        "sd_of_differences": sd,
        "limit_lower": bias - NORMAL_975 * sd,
        "limit_upper": bias + NORMAL_975 * sd,
        "pearson_r": covariance / np.sqrt(var_r * var_d),
        "concordance": 2 * covariance / (var_r + var_d + bias**2),
    }


def _errors(
    reference: np.ndarray, device: np.ndarray, mean: Mean, tolerance: Tolerance
) -> dict[str, np.ndarray]:
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
