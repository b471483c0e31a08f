"""What the sessions of one device together say: pooled bias, limits, criteria, equivalence.

Each session counts alike. Over several activities the bias is the mean of the activities' own, for
there is no telling how often each will be done; an activity of a single session, whose spread
nobody knows, is not among them. Limits and what to expect of a further session are told activity
by activity alone: over a mixture they describe no session. Statistics of these wearers have plain
names; those of people end in `_over_wearers`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import FINDINGS
from strapline.ground.vocabulary import UNSTATED
from strapline.method.agreement.equivalence import equivalence_of_mean, p_of_no_mean
from strapline.method.agreement.head_to_head import holm
from strapline.method.agreement.heterogeneity import heterogeneity
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.limit_intervals import FEWEST_SESSIONS, known_limits
from strapline.method.agreement.means import (
    FEWEST_WEARERS,
    OverPeople,
    on_these_wearers,
    over_people,
)
from strapline.method.agreement.medians import median_interval
from strapline.method.agreement.proportions import at_most, share_of_dependent_cases, wilson
from strapline.method.agreement.repeated_measures import SubjectSummaries
from strapline.method.agreement.session_table import (
    by_activity,
    column,
    session_table,
    stated_wearers,
)
from strapline.method.agreement.strata import OverStrata, mean_over_strata

if TYPE_CHECKING:
    from strapline.ground.settings import Criteria, Equivalence

FIGURES = ("bias", "sd_of_differences", "effective_n", "mape", "within_either", "concordance")
# p values of a bias of 0, adjusted over all devices and activities.
SIGNS = ("bias_p", "bias_over_wearers_p")
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
        found = [*_bias(own, margins), *_mape(own), *_met(own, criteria)]
        if own["done"].nunique() == 1:
            found += [*_between(own), *_limits(own)]
        rows += [names | _row(finding) for finding in found]
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


def _row(finding: Finding) -> dict[str, Any]:
    return {
        "statistic": finding.statistic,
        "value": finding.value,
        "low": finding.interval.low,
        "high": finding.interval.high,
        "unit": finding.unit,
        "sessions": finding.sessions,
    }


def _bias(own: pd.DataFrame, margins: Equivalence) -> Iterator[Finding]:
    """Whether it is apart from 0, and within the margins: on these wearers and over people."""
    known = own.dropna(subset=["bias"])
    if known.empty:
        return
    over = _on_these_wearers(known)
    yield Finding("bias", over.mean, over.interval, "bpm", over.sessions)
    yield _sign("bias_p", over.sessions, over)
    yield from _equivalent("equivalence", over.sessions, over, margins)
    further = UNKNOWN
    if known["done"].nunique() > 1:
        yield Finding("bias_furthest", over.furthest, UNKNOWN, "bpm", over.sessions)
    else:
        further = _further_session(known["bias"].to_numpy(float))
        yield Finding("bias_next_session", over.mean, further, "bpm", over.sessions)
    people = _over_people(known)
    if people is None:
        return
    value, sessions = people.mean, people.sessions
    yield Finding("bias_over_wearers", value, people.interval, "bpm", sessions)
    yield _sign("bias_over_wearers_p", sessions, people)
    # A further wearer cannot be better known than a further session of these.
    if _length(people.further) > _length(further):
        yield Finding("bias_next_wearer", value, people.further, "bpm", sessions)
    yield from _equivalent("equivalence_over_wearers", sessions, people, margins)


def _on_these_wearers(known: pd.DataFrame) -> OverStrata:
    strata = [
        on_these_wearers(part["bias"].to_numpy(float), part["wearer"].to_numpy(str))
        for _, part in known.groupby("done", sort=True)
    ]
    return mean_over_strata([one for one in strata if one.sessions > 1] or strata)


def _over_people(known: pd.DataFrame) -> OverPeople | None:
    sessions = known.groupby("done")["bias"].transform("size")
    own = known[(sessions > 1) & (known["wearer"] != UNSTATED)]
    words = own["wearer"].to_numpy(str), own["done"].to_numpy(str)
    return over_people(own["bias"].to_numpy(float), *words)


def _further_session(biases: np.ndarray) -> Interval:
    """Where its bias is expected: the mean ± t root(variance of sessions · (1 + 1 / sessions))."""
    n = biases.size
    if n < 2:
        return UNKNOWN
    spread = float(np.std(biases, ddof=1)) * math.sqrt(1 + 1 / n)
    return around(float(np.mean(biases)), t_quantile(n - 1) * spread)


def _length(interval: Interval) -> float:
    """0 where there is none."""
    return 0.0 if math.isnan(interval.low) else interval.high - interval.low


def _sign(statistic: str, sessions: int, over: OverStrata | OverPeople) -> Finding:
    return Finding(
        statistic, p_of_no_mean(over.mean, over.error, over.freedom), UNKNOWN, "1", sessions
    )


def _equivalent(
    statistic: str, sessions: int, over: OverStrata | OverPeople, margins: Equivalence
) -> Iterator[Finding]:
    margin = margins.margin_bpm
    test = equivalence_of_mean(over.mean, over.error, over.freedom, -margin, margin, margins.alpha)
    yield Finding(statistic, test.mean, test.interval, "bpm", sessions)
    yield Finding(f"{statistic}_p", test.p, UNKNOWN, "1", sessions)


def _between(own: pd.DataFrame) -> Iterator[Finding]:
    """How much sessions' true biases differ, by how well each session knows its own: variance =
    SD² / effective n, not below what readings in whole beats allow."""
    known = own.dropna(subset=["bias", "sd_of_differences", "effective_n"])
    if known.empty:
        return
    spread = np.maximum(known["sd_of_differences"].to_numpy(float) ** 2, ROUNDING)
    variances = spread / known["effective_n"].to_numpy(float)
    between = heterogeneity(known["bias"].to_numpy(float), variances)
    yield Finding("bias_between_sessions", math.sqrt(between.tau2), UNKNOWN, "bpm", len(known))
    yield Finding("bias_heterogeneity", between.i2, UNKNOWN, "%", len(known))


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
