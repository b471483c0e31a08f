"""What the sessions of one device together say: pooled bias, limits, criteria, equivalence.

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
from scipy import stats

from strapline.agreement.equivalence import equivalence
from strapline.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.agreement.pooling import pool
from strapline.agreement.pooling_in_groups import pool_in_groups
from strapline.agreement.proportions import wilson
from strapline.agreement.repeated_measures import SubjectSummaries, limits_true_value_varies
from strapline.agreement.session_table import (
    by_activity,
    column,
    session_table,
    stated_wearers,
)
from strapline.session.intake import UNSTATED
from strapline.tables.archive import FINDINGS

if TYPE_CHECKING:
    from strapline.settings import Criteria, Equivalence

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
        found = [*_bias(own), *_limits(own), *_mape(own), *_met(own, criteria)]
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


def _bias(own: pd.DataFrame) -> Iterator[Finding]:
    """Over sessions and, where there are several wearers, over wearers.

    What a further session will show has an error of its own as well, so its interval adds the
    mean sampling variance to that of IntHout et al. 2016, which is for a session's true bias.
    """
    known = _known(own)
    if known.empty:
        return
    estimates, sessions = known["bias"].to_numpy(float), len(known)
    spread = np.maximum(known["sd_of_differences"].to_numpy(float) ** 2, ROUNDING)
    variances = spread / known["effective_n"].to_numpy(float)
    pooled = pool(estimates, variances, never_narrower=True)
    value = pooled.estimate
    further = around(
        value,
        t_quantile(0.95, sessions - 1)
        * math.sqrt(pooled.standard_error**2 + pooled.tau2 + float(np.mean(variances))),
    )
    yield Finding("bias", value, pooled.interval, "bpm", sessions)
    yield Finding("bias_next_session", value, further, "bpm", sessions)
    yield Finding("bias_between_sessions", math.sqrt(pooled.tau2), UNKNOWN, "bpm", sessions)
    yield Finding("bias_heterogeneity", pooled.i2, UNKNOWN, "%", sessions)
    if stated_wearers(known) < 2:
        return
    wearers = known["wearer"].to_numpy(str)
    stated = wearers != UNSTATED
    groups = pool_in_groups(estimates[stated], variances[stated], wearers[stated])
    value, sessions = groups.estimate, groups.sessions
    yield Finding("bias_over_wearers", value, groups.interval, "bpm", sessions)
    yield Finding("bias_next_wearer", value, groups.prediction, "bpm", sessions)


def _limits(own: pd.DataFrame) -> Iterator[Finding]:
    known = _known(own)
    if known.empty:
        return
    summaries = SubjectSummaries(
        count=known["effective_n"].to_numpy(float),
        mean=known["bias"].to_numpy(float),
        variance=known["sd_of_differences"].to_numpy(float) ** 2,
    )
    limits = limits_true_value_varies(summaries)
    sessions = limits.subjects
    yield Finding("limit_lower", limits.lower, limits.lower_interval, "bpm", sessions)
    yield Finding("limit_upper", limits.upper, limits.upper_interval, "bpm", sessions)


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
    below = int(stats.binom.ppf(0.025, ordered.size, 0.5))
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
    biases = column(own, "bias")
    test = equivalence(biases, -margins.margin_bpm, margins.margin_bpm, margins.alpha)
    yield Finding("equivalence", test.mean, test.interval, "bpm", biases.size)
    yield Finding("equivalence_p", test.p, UNKNOWN, "1", biases.size)
