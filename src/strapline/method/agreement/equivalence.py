"""Equivalence within a stated margin, and change between two spans of sessions.

The session is the unit: arrays have shape (sessions,), without missing values. A test that
fewer than two sessions, or no variation, leave undefined is NaN.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile


@dataclass(frozen=True)
class Equivalence:
    """Two one-sided t tests of a mean against a lower and an upper bound.

    p is the larger of the two: below alpha, the mean lies within the bounds; just then the
    interval of level 1 - 2 alpha (`interval`) lies within them too.
    """

    p: float
    interval: Interval


def equivalence_of_mean(
    mean: float, error: float, freedom: float, lower: float, upper: float, alpha: float = 0.05
) -> Equivalence:
    """Is a mean between two bounds? From its standard error, with its degrees of freedom.

    Schuirmann 1987, J Pharmacokinet Biopharm 15:657-680. Bounds in the unit of the mean;
    ValueError unless lower < upper.
    """
    if not lower < upper:
        raise ValueError(f"the bounds {lower} and {upper} hold nothing between them")
    interval = around(mean, t_quantile(freedom, 1 - 2 * alpha) * error)
    if not freedom > 0:
        return Equivalence(math.nan, interval)
    t = max(_ratio(lower - mean, error), _ratio(mean - upper, error))
    return Equivalence(float(special.stdtr(freedom, t)), interval)


def p_of_no_mean(mean: float, error: float, freedom: float) -> float:
    """Student's two-sided test that a mean is 0; NaN without a degree of freedom."""
    if not freedom > 0:
        return math.nan
    return 2 * float(special.stdtr(freedom, -abs(_ratio(mean, error))))


@dataclass(frozen=True)
class Change:
    """After minus before, with Welch's interval and two-sided test."""

    before: float
    after: float
    change: float
    interval: Interval
    freedom: float
    p: float


def change_between(before: np.ndarray, after: np.ndarray) -> Change:
    """The change of the mean from one span of sessions to another, such as two firmwares.

    Welch 1947, Biometrika 34:28-35, degrees of freedom of Satterthwaite 1946. A change in time
    may have other causes than the one that divides the spans: sessions were not drawn by lot.
    """
    means = [float(np.mean(side)) if side.size else math.nan for side in (before, after)]
    variances = [
        float(np.var(side, ddof=1)) / side.size if side.size > 1 else math.nan
        for side in (before, after)
    ]
    change, variance = means[1] - means[0], sum(variances)
    weights = [
        v**2 / (side.size - 1)
        for v, side in zip(variances, (before, after), strict=True)
        if side.size > 1
    ]
    freedom = variance**2 / sum(weights) if variance > 0 else math.nan
    error = math.sqrt(variance)
    p = 2 * float(special.stdtr(freedom, -abs(_ratio(change, error))))
    interval = around(change, t_quantile(freedom) * error)
    return Change(means[0], means[1], change, interval, freedom, p)


def _ratio(difference: float, error: float) -> float:
    """A t value; infinite for a difference without error, NaN for neither."""
    if error > 0 or math.isnan(error):
        return difference / error
    return math.copysign(math.inf, difference) if difference else math.nan


NOT_TOLD = Change(math.nan, math.nan, math.nan, UNKNOWN, math.nan, math.nan)


def change_within(figures: np.ndarray, after: np.ndarray, strata: np.ndarray) -> Change:
    """The change of a figure within strata, such as what was done and who wore it.

    figures: shape (sessions,); after: bool, which of them are later; strata: a word each. Each
    stratum has a level of its own and all have one change, by least squares: the mean of the
    strata's differences, each with the weight n1 n2 / (n1 + n2) of its sessions of either side
    (Cochran 1954, Biometrics 10:417-451, from memory). Errors are of one size, and what strata
    differ by in their change is among them. Every stratum has sessions of both sides, else
    ValueError. In one stratum it is Welch's comparison, which lets both sides differ in spread.
    """
    words = np.unique(strata)
    levels = np.column_stack([strata == word for word in words]).astype(float)
    if not all(0 < after[strata == word].mean() < 1 for word in words):
        raise ValueError("a stratum has sessions of one side alone")
    if words.size == 1:
        return change_between(figures[~after], figures[after])
    whole = np.column_stack([after, levels])
    fitted, *_ = np.linalg.lstsq(whole, figures, rcond=None)
    change, freedom = float(fitted[0]), figures.size - whole.shape[1]
    before = float(np.mean(figures - change * after))
    if freedom == 0:
        return Change(before, before + change, change, UNKNOWN, 0, math.nan)
    variance = float(np.sum((figures - whole @ fitted) ** 2)) / freedom
    error = math.sqrt(variance * float(np.linalg.inv(whole.T @ whole)[0, 0]))
    p = 2 * float(special.stdtr(freedom, -abs(change) / error)) if error > 0 else math.nan
    interval = around(change, t_quantile(freedom) * error)
    return Change(before, before + change, change, interval, freedom, p)
