"""Limits of agreement when each subject (or session) gives several values.

The estimand is a further value of a further subject, subjects counting by their weights. With
equal weights that is a further second of a further session like these, sessions counting alike
however long they are. Differences are device minus reference, in the unit of the values. No input
may hold NaN.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.pairs import NORMAL_975


@dataclass(frozen=True)
class SubjectSummaries:
    """What the limits need of each subject: arrays of shape (subjects,).

    count: values; variance: over count - 1, any number where count is 1.
    """

    count: np.ndarray
    mean: np.ndarray
    variance: np.ndarray

    @property
    def subjects(self) -> int:
        return self.count.size

    def alike(self) -> SubjectSummaries:
        """The same where all subjects are taken to vary alike: variances pooled by degrees of
        freedom; 0 without any."""
        freedom = self.count - 1
        repeated = freedom > 0
        pooled = 0.0
        if repeated.any():
            pooled = float(np.average(self.variance[repeated], weights=freedom[repeated]))
        return SubjectSummaries(self.count, self.mean, np.full(self.subjects, pooled))


@dataclass(frozen=True)
class Limits:
    """Bias and 95 % limits for a single difference, in the unit of the values.

    between: weighted variance of the subjects' means; within: what subjects' variances add to it,
    less the part of them that the means already show. Their sum is the variance of a single
    difference. All but the bias is NaN for a single subject.
    """

    bias: float
    between: float
    within: float

    @property
    def sd(self) -> float:
        return math.sqrt(self.between + self.within)

    @property
    def lower(self) -> float:
        return self.bias - NORMAL_975 * self.sd

    @property
    def upper(self) -> float:
        return self.bias + NORMAL_975 * self.sd


def limits_of_repeated(differences: SubjectSummaries, weights: np.ndarray | None = None) -> Limits:
    """Limits for pairs taken together while the true value changes.

    weights: shape (subjects,), above 0 and of any sum; equal without. By the values of each, and
    with variances `alike`, these are the limits of Bland & Altman 2007, J Biopharm Stat
    17:571-582; with equal weights and variances alike, those of Bland & Altman 1999, Stat Methods
    Med Res 8:135-160, section 5. With equal weights the variance is that of subjects' means (over
    subjects - 1) plus the mean of variances within (over count, not count - 1), and is unbiased
    however much values that follow one another repeat each other: what dependence adds to the one
    it takes off the other. ValueError for no subject.
    """
    if not differences.subjects:
        raise ValueError("no subject to take limits of")
    shares = np.ones(differences.subjects) if weights is None else np.asarray(weights, float)
    shares = shares / np.sum(shares)
    bias = float(np.sum(shares * differences.mean))
    spare = 1 - float(np.sum(shares**2))
    if differences.subjects < 2:
        return Limits(bias, math.nan, math.nan)
    between = float(np.sum(shares * (differences.mean - bias) ** 2)) / spare
    seen = (1 - shares) / (differences.count * spare)
    within = float(np.sum(shares * differences.variance * (1 - seen)))
    return Limits(bias, between, max(within, 0.0))
