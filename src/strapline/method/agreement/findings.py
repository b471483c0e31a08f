"""What the sessions of one device together say: pooled bias, limits, criteria, equivalence.

Over several activities the bias is the mean of the activities' own, for sessions where a device
has it easy know their bias best and would have the most weight. Limits and what to expect of a
further session are told activity by activity alone: over a mixture they describe no session.
How well a session knows its own bias is taken from its spread and its effective number of
independent seconds: variance = SD² / effective n. A bias that hardly varies is not taken for
better known than readings in whole beats allow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from scipy import special

from strapline.ground.tables.archive import FINDINGS
from strapline.ground.vocabulary import UNSTATED
from strapline.method.agreement.equivalence import equivalence_of_mean, standard_error_of_mean
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.limit_intervals import FEWEST_SESSIONS, known_limits
from strapline.method.agreement.pooling import Pooled, pool
from strapline.method.agreement.pooling_in_groups import pool_in_groups
from strapline.method.agreement.proportions import wilson
from strapline.method.agreement.repeated_measures import SubjectSummaries
from strapline.method.agreement.session_table import (
    by_activity,
    column,
    session_table,
    stated_wearers,
)
from strapline.method.agreement.strata import OverStrata, StratumMean, mean_over_strata

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Equivalence

FIGURES = ("bias", "sd_of_differences", "effective_n", "mape", "within_either", "concordance")
# The variance of what rounding to whole beats adds.
ROUNDING = 1 / 12


@dataclass(frozen=True)
class Finding:
    """A statistic over `sessions` sessions, with its interval."""

    statistic: str
    value: float
    interval: Interval
    unit: str
    sessions: int


def findings(metrics: pd.DataFrame, criteria: Criteria, margins: Equivalence) -> pd.DataFrame:
    """A frame under FINDINGS from the archive's METRICS."""
    rows: list[dict[str, Any]] = []
    table = session_table(metrics, FIGURES)
    for (device, alignment, activity), own in by_activity(table, ["device", "alignment"]):
        names = {
            "device": device,
            "activity": activity,
            "alignment": alignment,
            "wearers": stated_wearers(own),
            "minutes": float(own["minutes"].sum()),
        }
        mixed = own["done"].nunique() > 1
        found = [*(_bias_over_activities(own) if mixed else [*_bias(own), *_limits(own)])]
        found += [*_bias_over_wearers(own), *_mape(own), *_met(own, criteria)]
        found += _equivalence(own, margins)
        rows += [names | _row(finding) for finding in found]
    return FINDINGS.from_rows(rows)


def _row(finding: Finding) -> dict[str, Any]:
    return {
        "statistic": finding.statistic,
        "value": finding.value,
        "low": finding.interval.low,
        "high": finding.interval.high,
        "unit": finding.unit,
        "sessions": finding.sessions,
    }


def _known(own: pd.DataFrame) -> pd.DataFrame:
    return own.dropna(subset=["bias", "sd_of_differences", "effective_n"])


def _variances(known: pd.DataFrame) -> np.ndarray:
    """How far each session's bias may be from its true one."""
    spread = np.maximum(known["sd_of_differences"].to_numpy(float) ** 2, ROUNDING)
    variances: np.ndarray = spread / known["effective_n"].to_numpy(float)
    return variances


def _pooled(known: pd.DataFrame) -> Pooled:
    return pool(known["bias"].to_numpy(float), _variances(known), never_narrower=True)


def _bias(own: pd.DataFrame) -> Iterator[Finding]:
    """Of one activity.

    What a further session will show has an error of its own as well, so its interval adds the
    mean sampling variance to that of IntHout et al. 2016, which is for a session's true bias.
    """
    known = _known(own)
    if known.empty:
        return
    pooled, sessions = _pooled(known), len(known)
    value = pooled.estimate
    further = around(
        value,
        t_quantile(0.95, sessions - 1)
        * math.sqrt(pooled.standard_error**2 + pooled.tau2 + float(np.mean(_variances(known)))),
    )
    yield Finding("bias", value, pooled.interval, "bpm", sessions)
    yield Finding("bias_next_session", value, further, "bpm", sessions)
    yield Finding("bias_between_sessions", math.sqrt(pooled.tau2), UNKNOWN, "bpm", sessions)
    yield Finding("bias_heterogeneity", pooled.i2, UNKNOWN, "%", sessions)


def _bias_over_activities(own: pd.DataFrame) -> Iterator[Finding]:
    """The mean of the activities' biases, and the one of them that is furthest from 0."""
    known = _known(own)
    if known.empty:
        return
    strata = []
    for _, part in known.groupby("done", sort=True):
        pooled = _pooled(part)
        error = pooled.standard_error if len(part) > 1 else math.nan
        strata.append(StratumMean(len(part), pooled.estimate, error))
    found = mean_over_strata(strata)
    yield Finding("bias", found.mean, found.interval, "bpm", found.sessions)
    yield Finding("bias_furthest", found.furthest, UNKNOWN, "bpm", found.sessions)


def _bias_over_wearers(own: pd.DataFrame) -> Iterator[Finding]:
    """Where there are several wearers, with people as a second level.

    What an activity as such adds to a bias is taken off first, so that nobody's sessions count
    for more because of what was done in them.
    """
    known = _known(own)
    known = known[known["wearer"] != UNSTATED]
    if known["wearer"].nunique() < 2:
        return
    of_activity = known.groupby("done")["bias"].transform("mean")
    level = known.groupby("done")["bias"].mean().mean()
    estimates = (known["bias"] - of_activity + level).to_numpy(float)
    # Over several activities, easy sessions weigh no more than others here either.
    variances = _variances(known)
    if known["done"].nunique() > 1:
        variances = np.full(len(known), float(np.mean(variances)))
    groups = pool_in_groups(estimates, variances, known["wearer"].to_numpy(str))
    value, sessions = groups.estimate, groups.sessions
    yield Finding("bias_over_wearers", value, groups.interval, "bpm", sessions)
    yield Finding("bias_next_wearer", value, groups.prediction, "bpm", sessions)


def _limits(own: pd.DataFrame) -> Iterator[Finding]:
    """Of a further second of a further session like these, sessions counting alike."""
    known = own.dropna(subset=["bias", "sd_of_differences"])
    if len(known) < FEWEST_SESSIONS:
        return
    summaries = SubjectSummaries(
        count=known["seconds"].to_numpy(float),
        mean=known["bias"].to_numpy(float),
        variance=known["sd_of_differences"].to_numpy(float) ** 2,
    )
    found = known_limits(summaries)
    yield Finding("limit_lower", found.limits.lower, found.lower, "bpm", len(known))
    yield Finding("limit_upper", found.limits.upper, found.upper, "bpm", len(known))


def _mape(own: pd.DataFrame) -> Iterator[Finding]:
    values = np.sort(column(own, "mape"))
    if not values.size:
        return
    median, interval = float(np.median(values)), median_interval(values)
    yield Finding("mape_median", median, interval, "%", values.size)
    yield Finding("mape_lowest", float(values[0]), UNKNOWN, "%", values.size)
    yield Finding("mape_highest", float(values[-1]), UNKNOWN, "%", values.size)


def median_interval(ordered: np.ndarray) -> Interval:
    """Of the median of values in rising order, at least 95 %, whatever their distribution.

    From order statistics by the binomial distribution (Thompson 1936, Ann Math Stat 7:122-128,
    from memory). Fewer than six values allow none: NaN.
    """
    at_most = special.bdtr(np.arange(ordered.size + 1), ordered.size, 0.5)
    below = int(np.searchsorted(at_most, 0.025))
    if below < 1:
        return UNKNOWN
    return Interval(float(ordered[below - 1]), float(ordered[-below]))


def _met(own: pd.DataFrame, criteria: Criteria) -> Iterator[Finding]:
    """In how many sessions of a hundred each criterion was met."""
    met = {
        "met_mape": column(own, "mape") < criteria.mape_below,
        "met_within": column(own, "within_either") >= criteria.time_within,
        "met_concordance": column(own, "concordance") >= criteria.concordance,
    }
    for statistic, answers in met.items():
        if not answers.size:
            continue
        count = int(np.count_nonzero(answers))
        shares = wilson(count, answers.size)
        interval = Interval(100 * shares.low, 100 * shares.high)
        value = 100 * count / answers.size
        yield Finding(statistic, value, interval, "%", answers.size)


def _equivalence(own: pd.DataFrame, margins: Equivalence) -> Iterator[Finding]:
    over = _mean_of_activities(own.dropna(subset=["bias"]))
    if over is None:
        return
    test = equivalence_of_mean(
        over.mean, over.error, over.freedom, -margins.margin_bpm, margins.margin_bpm, margins.alpha
    )
    yield Finding("equivalence", test.mean, test.interval, "bpm", over.sessions)
    yield Finding("equivalence_p", test.p, UNKNOWN, "1", over.sessions)


def _mean_of_activities(known: pd.DataFrame) -> OverStrata | None:
    """Of the sessions' biases as they are, each session counting alike in its activity."""
    biases = [part.to_numpy(float) for _, part in known.groupby("done", sort=True)["bias"]]
    if not biases:
        return None
    return mean_over_strata(
        [
            StratumMean(part.size, float(np.mean(part)), standard_error_of_mean(part))
            for part in biases
        ]
    )
