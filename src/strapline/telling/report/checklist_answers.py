"""What an archive has to say to the points of a reporting checklist; None where nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import RecordingIntake, SessionIntake
from strapline.ground.records.register import REFERENCE_KINDS
from strapline.ground.vocabulary import ALL_ACTIVITIES, UNSTATED, Clocks, Scope
from strapline.ground.words import counted, in_words, listed, plain, things
from strapline.method.agreement.effort import EFFORT_BANDS
from strapline.method.claims.usable import FEWEST_MINUTES
from strapline.method.planning.wording import KNOWN

if TYPE_CHECKING:
    from strapline.ground.settings import Plan

# Of METRICS, what points are answered from.
FIGURES = ("coverage", "mape", "delay_rising")
COLUMNS = ("session", "device", "scope", "alignment", "metric", "value")


@dataclass(frozen=True)
class Archive:
    """What the points are answered from: evidence alone, as METRICS (FIGURES and COLUMNS are
    enough) and FINDINGS have it."""

    intakes: Sequence[SessionIntake]
    sessions: pd.DataFrame
    metrics: pd.DataFrame
    found: pd.DataFrame
    plan: Plan

    @cached_property
    def held(self) -> pd.DataFrame:
        return self.sessions[self.sessions["set_aside"].isna()]

    @cached_property
    def evidence(self) -> list[SessionIntake]:
        names = set(self.held["session"].astype(str))
        return [intake for intake in self.intakes if intake.session in names]

    @cached_property
    def tested(self) -> list[RecordingIntake]:
        return [entry for intake in self.evidence for entry in intake.tested]


def stated(archive: Archive, says: Callable[[SessionIntake], bool]) -> str | None:
    """'Stated in 3 of 8 sessions', or None where it never is."""
    return _share([says(intake) for intake in archive.evidence], "session")


def stated_of_devices(archive: Archive, says: Callable[[RecordingIntake], bool]) -> str | None:
    return _share([says(entry) for entry in archive.tested], "recording")


def _share(said: Sequence[bool], what: str) -> str | None:
    if not any(said):
        return None
    if len(said) == 1:
        return f"Stated in the only {what}"
    every = f"all {len(said)}" if all(said) else f"{sum(said)} of {len(said)}"
    return f"Stated in {every} {things(len(said), what)}"


def wearers(archive: Archive) -> str | None:
    stated = archive.held["wearer"].astype(str)
    stated = stated[stated != UNSTATED]
    return f"{counted(stated.nunique(), 'wearer')}" if len(stated) else None


def references(archive: Archive) -> str | None:
    used = [i.reference for i in archive.evidence if i.reference]
    fitting = sorted({e.label for e in used if e.device_kind in REFERENCE_KINDS})
    return listed([plain(label) for label in fitting]) if fitting else None


def activities(archive: Archive) -> str | None:
    counts = archive.held["activity"].astype(str).value_counts().sort_index()
    found = [f"{in_words(str(a))} {n}" for a, n in counts.items() if a != UNSTATED]
    return f"Sessions: {listed(found)}" if found else None


def efforts(archive: Archive) -> str | None:
    bands = {f"{Scope.INTENSITY}{band}": band for band in EFFORT_BANDS}
    own = archive.metrics[archive.metrics["scope"].isin(bands)]
    counts = own.groupby("scope", observed=True)["session"].nunique()
    found = [
        f"{in_words(band).lower()} {counts[scope]}"
        for scope, band in bands.items()
        if scope in counts
    ]
    return f"Sessions with each band of effort: {listed(found)}" if found else None


def lengths(archive: Archive) -> str | None:
    minutes = archive.held["minutes"].dropna()
    enough = int((minutes >= FEWEST_MINUTES).sum())
    if not enough:
        return None
    return (
        f"{enough} of {counted(len(minutes), 'session')} {'is' if enough == 1 else 'are'} of "
        f"{FEWEST_MINUTES} minutes or more; the median is {minutes.median():.0f} minutes"
    )


def medians(archive: Archive, metric: str, unit: str) -> str | None:
    """The median session of each device."""
    own = archive.metrics[
        (archive.metrics["metric"] == metric)
        & (archive.metrics["scope"] == Scope.WHOLE)
        & (archive.metrics["alignment"] == Clocks.SETTLED)
    ].dropna(subset=["value"])
    medians = own.groupby(own["device"].astype(str))["value"].median()
    labels = {entry.device: plain(entry.label) for entry in archive.tested}
    found = [f"{labels.get(str(d), str(d))} {v:.1f} {unit}" for d, v in medians.items()]
    return f"Median session: {listed(found)}" if found else None


def intervals(archive: Archive) -> str | None:
    own = archive.found[
        (archive.found["alignment"] == Clocks.SETTLED)
        & (archive.found["activity"] != ALL_ACTIVITIES)
    ]
    cells = own[own["statistic"] == "bias"]
    if cells.empty:
        return None
    known = {
        name: int(own.loc[own["statistic"] == name, "low"].notna().sum())
        for name in ("bias", "limit_lower")
    }
    return (
        f"Of {counted(len(cells), 'pair')} of device and activity, bias for {known['bias']} and "
        f"limits for {known['limit_lower']}"
    )


def set_aside(archive: Archive) -> str | None:
    every = len(archive.sessions)
    if not every:
        return None
    return f"{every - len(archive.held)} of {counted(every, 'session')} set aside, with reasons"


def number_of_sessions(archive: Archive) -> str:
    plan = archive.plan
    return (
        f"The plan is to know each device’s {KNOWN[plan.know]} to ±{plan.half_width_bpm:g} bpm "
        f"with an assurance of {100 * plan.assurance:g} %"
    )
