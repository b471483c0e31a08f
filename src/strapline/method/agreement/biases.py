"""What the sessions of one device say of its bias, its error, and its slope on heart rate: on the
wearers there were, and over people.

`own` has a row a session, with `done`, the activity of each. Statistics of these wearers have plain
names; those of people end in `_over_wearers`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import UNSTATED
from strapline.method.agreement.equivalence import equivalence_of_mean, p_of_no_mean
from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.means import (
    OverPeople,
    OverStrata,
    mean_over_strata,
    on_these_wearers,
    over_people,
)
from strapline.method.agreement.session_table import stated_wearers

if TYPE_CHECKING:
    from strapline.ground.settings import Equivalence


@dataclass(frozen=True)
class Finding:
    """A statistic over `sessions` sessions, with its interval."""

    statistic: str
    value: float
    interval: Interval
    unit: str
    sessions: int


def finding_rows(
    names: dict[str, Any], own: pd.DataFrame, found: Iterable[Finding]
) -> list[dict[str, Any]]:
    """Rows of FINDINGS. names: of device, activity and view of the clocks; `own` has a row a
    session, with `wearer` and `minutes`."""
    rests_on = {"wearers": stated_wearers(own), "minutes": float(own["minutes"].sum())}
    return [
        names
        | rests_on
        | {
            "statistic": finding.statistic,
            "value": finding.value,
            "low": finding.interval.low,
            "high": finding.interval.high,
            "unit": finding.unit,
            "sessions": finding.sessions,
        }
        for finding in found
    ]


def biases(own: pd.DataFrame, margins: Equivalence) -> Iterator[Finding]:
    """Whether it is apart from 0, and within the margins: on these wearers and over people."""
    known = own[own["bias"].notna()]
    if known.empty:
        return
    over = _on_these_wearers(known, "bias")
    yield Finding("bias", over.mean, over.interval, "bpm", over.sessions)
    yield _sign("bias_p", over.sessions, over)
    yield from _equivalent("equivalence", over.sessions, over, margins)
    further = UNKNOWN
    if known["done"].nunique() > 1:
        yield Finding("bias_furthest", over.furthest, UNKNOWN, "bpm", over.sessions)
        yield Finding("bias_apart", over.apart, UNKNOWN, "bpm", over.sessions)
        yield Finding("bias_apart_p", over.apart_p, UNKNOWN, "1", over.sessions)
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


def errors(own: pd.DataFrame) -> Iterator[Finding]:
    """How far off it was, on these wearers; an error is never below 0."""
    known = own[own["mae"].notna()]
    if known.empty:
        return
    over = _on_these_wearers(known, "mae")
    low, high = over.interval.low, over.interval.high
    interval = Interval(low if math.isnan(low) else max(low, 0.0), high)
    yield Finding("mae_mean", over.mean, interval, "bpm", over.sessions)


def slopes(own: pd.DataFrame) -> Iterator[Finding]:
    """By how much the difference grows with each beat of heart rate, on these wearers."""
    known = own[own["proportional_slope"].notna()]
    if known.empty:
        return
    over = _on_these_wearers(known, "proportional_slope")
    yield Finding("slope", over.mean, over.interval, "bpm/bpm", over.sessions)
    yield _sign("slope_p", over.sessions, over)


def _on_these_wearers(known: pd.DataFrame, figure: str) -> OverStrata:
    values, (wearers, done) = known[figure].to_numpy(float), _whose(known)
    strata = [
        on_these_wearers(values[done == activity], wearers[done == activity])
        for activity in np.unique(done)
    ]
    return mean_over_strata(strata)


def _over_people(known: pd.DataFrame) -> OverPeople | None:
    wearers, done = _whose(known)
    kept = wearers != UNSTATED
    return over_people(known["bias"].to_numpy(float)[kept], wearers[kept], done[kept])


def _whose(known: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Whose and what each session is."""
    return known["wearer"].to_numpy(str), known["done"].to_numpy(str)


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
    yield Finding(statistic, over.mean, test.interval, "bpm", sessions)
    yield Finding(f"{statistic}_p", test.p, UNKNOWN, "1", sessions)
