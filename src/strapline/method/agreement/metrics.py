"""The figures of `metrics.parquet`: their names, their units and how each is had."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.method.agreement.pairs import (
    concordance,
    errors,
    limits_of_agreement,
    pearson_r,
    percent_of_reference,
    shares_within,
)

if TYPE_CHECKING:
    from strapline.ground.settings import Tolerance

UNITS = {
    "mean_reference": "bpm",
    "mean_device": "bpm",
    "bias": "bpm",
    "bias_percent": "%",
    "maximum_reference": "bpm",
    "maximum_device": "bpm",
    "maximum_difference": "bpm",
    "maximum_difference_percent": "%",
    "sd_of_differences": "bpm",
    "limit_lower": "bpm",
    "limit_upper": "bpm",
    "mae": "bpm",
    "rmse": "bpm",
    "mape": "%",
    "absolute_error_p95": "bpm",
    "within_beats": "%",
    "within_percent": "%",
    "within_either": "%",
    "pearson_r": "1",
    "concordance": "1",
    "coverage": "%",
}


def agreement_metrics(
    reference: np.ndarray, device: np.ndarray, comparable: float, tolerance: Tolerance
) -> dict[str, float]:
    """Every figure of UNITS for pairs of heart rates, in that order.

    reference, device: bpm, shape (n,), no missing values. comparable: how many pairs there
    would be had the device missed none; coverage is n in percent of it. With n = 0 all but
    coverage are NaN.
    """
    coverage = 100 * reference.size / comparable if comparable else np.nan
    if reference.size == 0:
        return dict.fromkeys(UNITS, np.nan) | {"coverage": coverage}
    limits = limits_of_agreement(reference, device)
    error = errors(reference, device)
    within = shares_within(reference, device, tolerance.beats, tolerance.percent)
    mean, highest = float(np.mean(reference)), float(np.max(reference))
    gap_at_top = float(np.max(device)) - highest
    return {
        "mean_reference": mean,
        "mean_device": float(np.mean(device)),
        "bias": limits.bias,
        "bias_percent": percent_of_reference(limits.bias, mean),
        "maximum_reference": highest,
        "maximum_device": float(np.max(device)),
        "maximum_difference": gap_at_top,
        "maximum_difference_percent": percent_of_reference(gap_at_top, highest),
        "sd_of_differences": limits.sd,
        "limit_lower": limits.lower,
        "limit_upper": limits.upper,
        "mae": error.mae,
        "rmse": error.rmse,
        "mape": error.mape,
        "absolute_error_p95": error.p95,
        "within_beats": within.beats,
        "within_percent": within.percent,
        "within_either": within.either,
        "pearson_r": pearson_r(reference, device),
        "concordance": concordance(reference, device),
        "coverage": coverage,
    }
