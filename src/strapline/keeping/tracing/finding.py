"""A statistic over sessions beside the sessions' figures that enter it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from strapline.ground.vocabulary import ALL_ACTIVITIES, VIEWS, Scope
from strapline.ground.words import MISSING, counted, exact, number
from strapline.keeping.tracing.recompute import equal
from strapline.keeping.tracing.wording import item
from strapline.method.agreement.votes import votes
from strapline.method.metrics.statistics import STATISTICS, Criteria, Statistic


@dataclass(frozen=True)
class TracedFinding:
    """`published` is the row of FINDINGS, `figures` the sessions' by session; `again` None where
    no short path gives the statistic."""

    published: dict[str, Any]
    statistic: Statistic
    criteria: Criteria
    figures: dict[str, float]
    again: float | None

    @property
    def holds(self) -> bool:
        """Whether value and number of sessions came out as published, as far as a short path
        goes."""
        if self.again is None:
            return True
        counted = len(self.figures) == self.published["sessions"]
        return counted and equal(self.published["value"], self.again)


def traced_finding(
    published: dict[str, Any], metrics: pd.DataFrame, criteria: Criteria, over_all: Sequence[str]
) -> TracedFinding:
    """From a row of FINDINGS, those of the archive's METRICS that count over sessions, the criteria
    in force, and the activities that count over all."""
    statistic, activity = STATISTICS[published["statistic"]], published["activity"]
    of_figure = metrics["metric"] == statistic.of
    chosen = (metrics["scope"] == Scope.WHOLE) & of_figure & votes(metrics)
    for column in ("device", "alignment"):
        chosen &= metrics[column] == published[column]
    if activity != ALL_ACTIVITIES:
        chosen &= metrics["activity"] == activity
    elif metrics.loc[chosen, "activity"].nunique() > 1:
        chosen &= metrics["activity"].isin(over_all)
    # Two recordings of one device in one session are no two sessions.
    figures = metrics[chosen].groupby("session", observed=True)["value"].mean().dropna()
    again = statistic.again
    return TracedFinding(
        published,
        statistic,
        criteria,
        {str(session): float(value) for session, value in figures.items()},
        again(figures.to_numpy(), criteria) if again and len(figures) else None,
    )


def lines_of_finding(finding: TracedFinding) -> Iterator[str]:
    """The whole account, line by line."""
    row, statistic = finding.published, finding.statistic
    unit = "" if row["unit"] == "1" else f" {row['unit']}"
    yield f"{row['statistic']} of {row['device']}, {row['activity']}: {exact(row['value'])}{unit}"
    yield f"Clocks {VIEWS[row['alignment']]}, over {counted(row['sessions'], 'session')}."
    yield ""
    yield from item("Formula", statistic.formula.format(**finding.criteria))
    yield from item("Source", statistic.source)
    ends = " to ".join(number(row[end], decimals=3) for end in ("low", "high"))
    given = "none given" if MISSING in ends else ends
    yield from item("Interval", f"{given}; {statistic.interval}")
    yield ""
    yield f"{statistic.of} of each session that counts:"
    yield from (f"  {session}  {exact(value)}" for session, value in finding.figures.items())
    yield ""
    if finding.again is None:
        yield "Not computed a second way, for there is no simple one to this statistic."
        return
    result = "equal" if finding.holds else "NOT EQUAL"
    sessions = counted(len(finding.figures), "session")
    yield f"Computed a second way from these: {exact(finding.again)}, {sessions}: {result}."
