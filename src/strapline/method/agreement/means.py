"""The mean of sessions' figures: over kinds of sessions, on these wearers, and over people.

A mean weighted by how well each session knows its figure goes where sessions are easy: two days
at the desk know their bias better than ten of intervals, and a session in which a device fails
knows it worst, and would count for least. Here every kind of session (an activity) has a mean of
its own first, and the means are averaged. On these wearers each session counts alike, and the
spread is that of sessions within a wearer: who they are is given. Over people the wearer is the
unit: the mean of wearers' means, by t with a degree of freedom fewer than there are wearers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.heterogeneity import p_of_one_mean
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.repeated_measures import SubjectSummaries, limits_of_repeated

# Two people say nothing of others: their t interval is six times as wide as that of three.
FEWEST_WEARERS = 3
# With less freedom within wearers t is so wide that a mean would be worse known than the bias of a
# further session: with two degrees already where four wearers have six sessions.
FEWEST_WITHIN = 3


def on_these_wearers(values: np.ndarray, wearers: np.ndarray) -> StratumMean:
    """The mean of one activity's sessions; both of shape (sessions,), not empty.

    Where sessions within wearers leave fewer than FEWEST_WITHIN degrees of freedom, the spread is
    that of all sessions, which is more on the average. The error is NaN for one session.
    """
    n = values.size
    mean = float(np.mean(values))
    names, member = np.unique(wearers, return_inverse=True)
    freedom, centre = n - 1, np.full(n, mean)
    if n - names.size >= FEWEST_WITHIN:
        freedom = n - names.size
        centre = (np.bincount(member, values) / np.bincount(member))[member]
    if not freedom:
        return StratumMean(n, mean, math.nan)
    error = math.sqrt(float(np.sum((values - centre) ** 2)) / freedom / n)
    return StratumMean(n, mean, error, freedom)


@dataclass(frozen=True)
class OverPeople:
    """The mean of wearers' means, its standard error and degrees of freedom. further: where the
    figure of a session of a further wearer is expected, over one activity alone."""

    sessions: int
    mean: float
    error: float
    freedom: int
    further: Interval

    @property
    def interval(self) -> Interval:
        return around(self.mean, t_quantile(self.freedom) * self.error)


def over_people(values: np.ndarray, wearers: np.ndarray, done: np.ndarray) -> OverPeople | None:
    """From each wearer who did every activity, each activity of a wearer counting alike; None with
    fewer than FEWEST_WEARERS of them. All of shape (sessions,); done: the activity of each."""
    activities = np.unique(done)
    means, kept = [], np.zeros(values.size, dtype=bool)
    for wearer in np.unique(wearers):
        own = wearers == wearer
        parts = [values[own & (done == activity)] for activity in activities]
        if all(part.size for part in parts):
            means.append(float(np.mean([np.mean(part) for part in parts])))
            kept |= own
    if len(means) < FEWEST_WEARERS:
        return None
    mean, freedom = float(np.mean(means)), len(means) - 1
    error = float(np.std(means, ddof=1)) / math.sqrt(len(means))
    further = UNKNOWN
    if activities.size == 1:
        variance = _of_a_further_session(values[kept], wearers[kept])
        further = around(mean, t_quantile(freedom) * math.sqrt(variance + error**2))
    return OverPeople(int(np.count_nonzero(kept)), mean, error, freedom, further)


def _of_a_further_session(values: np.ndarray, wearers: np.ndarray) -> float:
    """Its variance on a further wearer: wearers as subjects whose sessions vary alike."""
    _, member = np.unique(wearers, return_inverse=True)
    count = np.bincount(member)
    mean = np.bincount(member, values) / count
    squares = np.bincount(member, (values - mean[member]) ** 2)
    variance = squares / np.maximum(count - 1, 1)
    return limits_of_repeated(SubjectSummaries(count, mean, variance).alike()).sd ** 2


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

    furthest: the stratum's mean that is furthest from 0; apart: by how much the highest is above
    the lowest, with the p of their being one. Interval, error, freedom and p are NaN where a
    stratum has one session.
    """

    sessions: int
    mean: float
    error: float
    freedom: float
    interval: Interval
    furthest: float
    apart: float
    apart_p: float


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
    errors = np.array([stratum.error for stratum in strata])
    variances = errors**2
    freedoms = np.array([stratum.known_by for stratum in strata])
    variance = float(np.sum(variances)) / means.size**2
    error = math.sqrt(variance)
    mean, sessions = float(np.mean(means)), sum(stratum.sessions for stratum in strata)
    furthest, apart = float(means[np.argmax(np.abs(means))]), float(np.ptp(means))
    apart_p = p_of_one_mean(means, errors, freedoms)
    if math.isnan(error):
        return OverStrata(sessions, mean, math.nan, math.nan, UNKNOWN, furthest, apart, apart_p)
    parts = float(np.sum(variances**2 / freedoms)) / means.size**4
    freedom = variance**2 / parts if parts > 0 else float(np.sum(freedoms))
    interval = around(mean, t_quantile(freedom) * error)
    return OverStrata(sessions, mean, error, freedom, interval, furthest, apart, apart_p)
