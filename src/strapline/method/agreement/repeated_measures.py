"""Limits of agreement when each subject (or session) gives several values.

Pooling all pairs as if they were independent understates the spread between subjects. Here the
variance of a single difference is put together from its parts between and within subjects.
Differences are device minus reference, in the unit of the values. No input may hold NaN.

With fewer than two subjects only the bias is known and the rest is NaN; where no subject has
two values the variance within is NaN and adds nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.mover import Component, limit_margins
from strapline.method.agreement.pairs import NORMAL_975


@dataclass(frozen=True)
class SubjectSummaries:
    """What the limits need of each subject: arrays of shape (subjects,).

    count: values, or the effective number of independent values where a subject's values
    follow one another in time (it need not be whole); variance: over count - 1, any number
    where count is 1.
    """

    count: np.ndarray
    mean: np.ndarray
    variance: np.ndarray

    @property
    def subjects(self) -> int:
        return self.count.size

    @property
    def freedom_within(self) -> float:
        return float(np.sum(self.count - 1))

    @property
    def variance_within(self) -> float:
        """Pooled over subjects by degrees of freedom; NaN without any."""
        freedom = self.count - 1
        repeated = freedom > 0
        if not repeated.any():
            return math.nan
        return float(np.average(self.variance[repeated], weights=freedom[repeated]))


@dataclass(frozen=True)
class RepeatedLimits:
    """Bias and 95 % limits for a single difference, and how well they are known.

    between_variance: of subjects' true biases, not below 0; within_variance: of a difference
    about its subject's bias; sd: root of the variance of a single difference.
    """

    subjects: int
    values: float
    bias: float
    bias_interval: Interval
    between_variance: float
    within_variance: float
    sd: float
    lower: float
    upper: float
    lower_interval: Interval
    upper_interval: Interval


def limits_true_value_varies(differences: SubjectSummaries, level: float = 0.95) -> RepeatedLimits:
    """Limits for pairs taken together while the true value changes, by analysis of variance.

    Bland & Altman 2007, J Biopharm Stat 17:571-582: the bias is the mean of all pairs, the
    variance of a difference MSW + (MSB - MSW) / m, with m = (N² - sum of counts²) /
    ((subjects - 1) N). The intervals of the limits are MOVER's (Zou 2013, from memory) with
    these components. The interval of the bias uses t with subjects - 1 degrees of freedom.
    """
    count, subjects = differences.count, differences.subjects
    total = float(np.sum(count))
    if subjects < 2:
        return _unknown(differences)
    bias = float(np.average(differences.mean, weights=count))
    m = (total - float(np.sum(count**2)) / total) / (subjects - 1)
    between_square = float(np.sum(count * (differences.mean - bias) ** 2)) / (subjects - 1)
    within = differences.variance_within
    within_square = 0.0 if math.isnan(within) else within
    between = max((between_square - within_square) / m, 0.0)
    parts = [
        Component(between_square / m, subjects - 1),
        Component((1 - 1 / m) * within_square, differences.freedom_within),
    ]
    if between_square < within_square:
        parts = [Component(within_square, differences.freedom_within)]
    bias_variance = (np.sum(count**2) * between + total * within_square) / total**2
    return _limits(subjects, total, bias, float(bias_variance), between, within, parts, level)


def _limits(
    subjects: int,
    values: float,
    bias: float,
    bias_variance: float,
    between: float,
    within: float,
    parts: Sequence[Component],
    level: float,
) -> RepeatedLimits:
    parts = [part for part in parts if part.freedom > 0 and part.value > 0]
    sd = math.sqrt(sum(part.value for part in parts))
    inward, outward = limit_margins(parts, bias_variance, level)
    lower, upper = bias - NORMAL_975 * sd, bias + NORMAL_975 * sd
    return RepeatedLimits(
        subjects=subjects,
        values=values,
        bias=bias,
        bias_interval=around(bias, t_quantile(level, subjects - 1) * math.sqrt(bias_variance)),
        between_variance=between,
        within_variance=within,
        sd=sd,
        lower=lower,
        upper=upper,
        lower_interval=Interval(lower - outward, lower + inward),
        upper_interval=Interval(upper - inward, upper + outward),
    )


def _unknown(differences: SubjectSummaries) -> RepeatedLimits:
    """Of fewer than two subjects."""
    nan = math.nan
    return RepeatedLimits(
        subjects=differences.subjects,
        values=float(np.sum(differences.count)),
        bias=float(differences.mean[0]) if differences.subjects else nan,
        bias_interval=UNKNOWN,
        between_variance=nan,
        within_variance=differences.variance_within,
        sd=nan,
        lower=nan,
        upper=nan,
        lower_interval=UNKNOWN,
        upper_interval=UNKNOWN,
    )
