"""The mean of sessions' figures: on the wearers there were, and over people.

On these wearers each session counts alike, and the spread is that of sessions within a wearer:
who they are is given. Over people the wearer is the unit: the mean of wearers' means, by t with a
degree of freedom fewer than there are wearers. How well a session knows its own figure does not
weigh it: a session in which a device fails knows it worst, and would count for least.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.repeated_measures import SubjectSummaries, limits_of_repeated
from strapline.method.agreement.strata import StratumMean

# Two people say nothing of others: their t interval is six times as wide as that of three.
FEWEST_WEARERS = 3


def on_these_wearers(values: np.ndarray, wearers: np.ndarray) -> StratumMean:
    """The mean of one activity's sessions; both of shape (sessions,), not empty.

    Where no wearer has two sessions, the spread is that of all sessions, which is more. The error
    is NaN for one session.
    """
    n = values.size
    mean = float(np.mean(values))
    names, member = np.unique(wearers, return_inverse=True)
    freedom = n - names.size
    centre = np.full(n, mean)
    if freedom:
        centre = (np.bincount(member, values) / np.bincount(member))[member]
    else:
        freedom = n - 1
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
