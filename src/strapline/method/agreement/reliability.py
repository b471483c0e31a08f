"""Intraclass correlation coefficients of several raters (devices) over the same targets."""

import math
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class IntraclassCorrelations:
    """The six forms, named as their authors do.

    (1, ·): each target by other raters, drawn at random; (2, ·): the same raters, drawn at
    random, absolute agreement; (3, ·): these raters only, consistency. (·, 1) of a single
    rating, (·, k) of the mean of k.
    """

    targets: int
    raters: int
    icc_1_1: float
    icc_2_1: float
    icc_3_1: float
    icc_1_k: float
    icc_2_k: float
    icc_3_k: float


def intraclass_correlations(ratings: np.ndarray) -> IntraclassCorrelations:
    """Shrout & Fleiss 1979, Psychol Bull 86:420-428.

    ratings: shape (targets, raters), without missing values. NaN where fewer than two targets
    or raters, or no variation, leave a form undefined.
    """
    n, k = ratings.shape
    if n < 2 or k < 2:
        nan = math.nan
        return IntraclassCorrelations(n, k, nan, nan, nan, nan, nan, nan)
    by_target, by_rater = ratings.mean(axis=1), ratings.mean(axis=0)
    residual = ratings - by_target[:, None] - by_rater + ratings.mean()
    targets = k * float(np.var(by_target, ddof=1))
    raters = n * float(np.var(by_rater, ddof=1))
    error = float(np.sum(residual**2)) / ((n - 1) * (k - 1))
    within = float(np.mean(np.var(ratings, axis=1, ddof=1)))
    between_raters = (raters - error) / n
    return IntraclassCorrelations(
        targets=n,
        raters=k,
        icc_1_1=_ratio(targets - within, targets + (k - 1) * within),
        icc_2_1=_ratio(targets - error, targets + (k - 1) * error + k * between_raters),
        icc_3_1=_ratio(targets - error, targets + (k - 1) * error),
        icc_1_k=_ratio(targets - within, targets),
        icc_2_k=_ratio(targets - error, targets + between_raters),
        icc_3_k=_ratio(targets - error, targets),
    )


def _ratio(numerator: float, denominator: float) -> float:
    return numerator / denominator if denominator > 0 else math.nan
