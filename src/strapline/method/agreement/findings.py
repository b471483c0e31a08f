"""What the sessions of one device together say: pooled bias, limits, criteria, equivalence.

Each session counts alike. Over several activities (`shared_activities`) the bias is the mean of
their own, for there is no telling how often each will be done; where one has a single session,
whose spread nobody knows, that mean has no interval. Limits and what to expect of a further session
are told activity by activity alone: over a mixture they describe no session. Statistics of these
wearers have plain names; those of people end in `_over_wearers`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import FINDINGS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED
from strapline.method.agreement.biases import Finding, biases, errors, finding_rows, slopes
from strapline.method.agreement.head_to_head import holm
from strapline.method.agreement.heterogeneity import heterogeneity
from strapline.method.agreement.interval import UNKNOWN, Interval
from strapline.method.agreement.limit_intervals import FEWEST_SESSIONS, known_limits
from strapline.method.agreement.means import FEWEST_WEARERS
from strapline.method.agreement.medians import median_interval
from strapline.method.agreement.proportions import at_most, share_of_dependent_cases, wilson
from strapline.method.agreement.repeated_measures import SubjectSummaries
from strapline.method.agreement.session_table import (
    by_activity,
    session_table,
    shared_activities,
)

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Equivalence, OverAll

# Heart rates at which limits are told, where a session's reach them.
RATES_BPM = (80, 120, 160)
AT_RATES = tuple(f"{name}_at_{rate}" for rate in RATES_BPM for name in ("bias", "sd"))
FIGURES = (
    "bias",
    "sd_of_differences",
    "effective_n",
    "proportional_slope",
    "mae",
    "mape",
    "within_either",
    "concordance",
    *AT_RATES,
)
# p values of a bias, or a slope, of 0, each adjusted over all devices and activities.
SIGNS = ("bias_p", "bias_over_wearers_p", "slope_p")
# The variance of what rounding to whole beats adds.
ROUNDING = 1 / 12


def findings(
    metrics: pd.DataFrame, criteria: Criteria, margins: Equivalence, over_all: OverAll
) -> pd.DataFrame:
    """A frame under FINDINGS from the archive's METRICS."""
    rows: list[dict[str, Any]] = []
    table = session_table(metrics, FIGURES)
    shared = shared_activities(table.rename(columns={"seconds": "n"}), over_all)
    for (device, alignment, activity), own in by_activity(table, ["device", "alignment"], over_all):
        if activity == ALL_ACTIVITIES and own["done"].nunique() > 1:
            own = own[own["done"].isin(shared)]
        if own.empty:
            continue
        names = {"device": device, "activity": activity, "alignment": alignment}
        found = [*biases(own, margins), *errors(own), *slopes(own), *_mape(own)]
        found += _met(own, criteria)
        if own["done"].nunique() == 1:
            found += [*_between(own), *_limits(own)]
        rows += finding_rows(names, own, found)
    return _adjusted(FINDINGS.from_rows(rows))


def _adjusted(found: pd.DataFrame) -> pd.DataFrame:
    """With p values of signs of bias after Holm's adjustment, those of all devices and activities
    being one family, on these wearers and over people each: any false one is a false statement
    about somebody's device, and rows over all activities depend on the others in no simple way,
    which Holm allows."""
    of_signs = found["statistic"].isin(SIGNS)
    families = [found["alignment"], found["statistic"]]
    by_family = found.loc[of_signs].groupby(families, observed=True)["value"]
    adjusted = by_family.transform(lambda p: holm(p.to_numpy(float)))
    return found.assign(value=found["value"].mask(of_signs, adjusted))


def _between(own: pd.DataFrame) -> Iterator[Finding]:
    """How much sessions' true biases differ, by how well each session knows its own: variance =
    SD² / effective n, not below what readings in whole beats allow."""
    figures = own[["bias", "sd_of_differences", "effective_n"]].to_numpy(float)
    bias, spread, effective_n = figures[~np.isnan(figures).any(axis=1)].T
    if not bias.size:
        return
    between = heterogeneity(bias, np.maximum(spread**2, ROUNDING) / effective_n)
    yield Finding("bias_between_sessions", math.sqrt(between.tau2), UNKNOWN, "bpm", bias.size)
    yield Finding("bias_heterogeneity", between.i2, UNKNOWN, "%", bias.size)


def _limits(own: pd.DataFrame) -> Iterator[Finding]:
    """Of a further second of a further session: at any heart rate, and at some."""
    for at, bias, sd in (
        ("", "bias", "sd_of_differences"),
        *((f"_at_{rate}", f"bias_at_{rate}", f"sd_at_{rate}") for rate in RATES_BPM),
    ):
        count, mean, spread = (own[name].to_numpy(float) for name in ("seconds", bias, sd))
        known = ~np.isnan(mean + spread)
        sessions = int(np.count_nonzero(known))
        if sessions < FEWEST_SESSIONS:
            continue
        summaries = SubjectSummaries(count[known], mean[known], spread[known] ** 2)
        found = known_limits(summaries)
        for side in ("lower", "upper"):
            limit = getattr(found.limits, side)
            yield Finding(f"limit_{side}{at}", limit, getattr(found, side), "bpm", sessions)


def _mape(own: pd.DataFrame) -> Iterator[Finding]:
    values = np.sort(own["mape"].dropna().to_numpy(float))
    if not values.size:
        return
    median, interval = float(np.median(values)), median_interval(values)
    yield Finding("mape_median", median, interval, "%", values.size)
    yield Finding("mape_lowest", float(values[0]), UNKNOWN, "%", values.size)
    yield Finding("mape_highest", float(values[-1]), UNKNOWN, "%", values.size)


def _met(own: pd.DataFrame, criteria: Criteria) -> Iterator[Finding]:
    """In how many sessions of a hundred each criterion was met."""
    wearers = own["wearer"].to_numpy(str)
    mape, within, concordance = (
        own[name].to_numpy(float) for name in ("mape", "within_either", "concordance")
    )
    for statistic, figures, met in (
        ("met_mape", mape, mape < criteria.mape_below),
        ("met_within", within, within >= criteria.time_within),
        ("met_concordance", concordance, concordance >= criteria.concordance),
    ):
        known = ~np.isnan(figures)
        answers, sessions = met[known], int(np.count_nonzero(known))
        if not sessions:
            continue
        count = int(np.count_nonzero(answers))
        yield _percent(statistic, count / sessions, wilson(count, sessions), sessions)
        if statistic == "met_within":
            failed = sessions - count
            bound = Interval(0.0, at_most(failed, sessions))
            yield _percent("failing", failed / sessions, bound, sessions)
        stated = wearers[known] != UNSTATED
        names, member = np.unique(wearers[known][stated], return_inverse=True)
        if names.size >= FEWEST_WEARERS:
            share = float(np.mean(np.bincount(member, answers[stated]) / np.bincount(member)))
            # Wearers' own shares differ by no more than if each met it always or never.
            interval = share_of_dependent_cases(share, names.size)
            cases = int(np.count_nonzero(stated))
            yield _percent(f"{statistic}_over_wearers", share, interval, cases)


def _percent(statistic: str, share: float, shares: Interval, sessions: int) -> Finding:
    interval = Interval(100 * shares.low, 100 * shares.high)
    return Finding(statistic, 100 * share, interval, "%", sessions)
