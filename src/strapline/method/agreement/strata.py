"""One figure from sessions of several kinds, each kind counting alike.

A mean weighted by how well each session knows its figure goes where sessions are easy: two days
at the desk know their bias better than ten of intervals. Here every kind of session (an
activity) has a mean of its own first, and the means are averaged.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile


@dataclass(frozen=True)
class StratumMean:
    """The mean of one stratum's sessions and its standard error, NaN for one session; degrees of
    freedom of the error, one fewer than the sessions where nothing else is said."""

    sessions: int
    mean: float
    error: float
    freedom: float | None = None

    @property
    def known_by(self) -> float:
        return self.sessions - 1 if self.freedom is None else self.freedom


@dataclass(frozen=True)
class OverStrata:
    """The mean of the strata's means, its standard error and degrees of freedom.

    furthest: the stratum's mean that is furthest from 0. Interval, error and freedom are NaN
    where a stratum has one session.
    """

    sessions: int
    mean: float
    error: float
    freedom: float
    interval: Interval
    furthest: float


def mean_over_strata(strata: Sequence[StratumMean]) -> OverStrata:
    """The mean of a stratified sample with equal weights (Cochran 1977, Sampling Techniques,
    chapter 5), degrees of freedom of Satterthwaite 1946, Biometrics Bulletin 2:110-114 (both
    from memory).

    How a stratum of one session varies nobody knows: it may be otherwise than elsewhere. Raises
    ValueError for no stratum.
    """
    if not strata:
        raise ValueError("no stratum to average over")
    means = np.array([stratum.mean for stratum in strata])
    variances = np.array([stratum.error for stratum in strata]) ** 2
    freedoms = np.array([stratum.known_by for stratum in strata])
    variance = float(np.sum(variances)) / means.size**2
    error = math.sqrt(variance)
    mean, sessions = float(np.mean(means)), sum(stratum.sessions for stratum in strata)
    furthest = float(means[np.argmax(np.abs(means))])
    if math.isnan(error):
        return OverStrata(sessions, mean, math.nan, math.nan, UNKNOWN, furthest)
    parts = float(np.sum(variances**2 / freedoms)) / means.size**4
    freedom = variance**2 / parts if parts > 0 else float(np.sum(freedoms))
    interval = around(mean, t_quantile(freedom) * error)
    return OverStrata(sessions, mean, error, freedom, interval, furthest)
