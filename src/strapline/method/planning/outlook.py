"""A test as it stands and as it should go on."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.session_table import session_table
from strapline.method.planning.apart import Pair, pairs
from strapline.method.planning.cells import Cell, cells
from strapline.method.planning.schedule import Outing, schedule
from strapline.method.planning.spread import NEEDED
from strapline.method.planning.wants import Wants, recorded, wants

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan

# What is recorded by then changes the rest.
MOST_AHEAD = 24


@dataclass(frozen=True)
class Prospect:
    """A device at an activity with some more sessions. `tends`: with these there are first enough
    to say what it tends to do; `precise`: it is first known as well as wanted."""

    cell: Cell
    more: int
    half_width: float
    tends: bool
    precise: bool

    @property
    def sessions(self) -> int:
        return self.cell.sessions + self.more

    @property
    def settles(self) -> int:
        return self.tends + self.precise

    @property
    def narrows(self) -> float:
        """By how many bpm the interval becomes narrower, on either side; 0 where there is none."""
        by = self.cell.half_width - self.half_width
        return 0.0 if math.isnan(by) else by


@dataclass(frozen=True)
class Step:
    """A session to come, and what it buys."""

    outing: Outing
    prospects: tuple[Prospect, ...]

    @property
    def worth(self) -> tuple[float, float]:
        """What it settles, then how much more closely it makes things known."""
        return sum(p.settles for p in self.prospects), sum(p.narrows for p in self.prospects)


@dataclass(frozen=True)
class Outlook:
    """What is wanted, each device at each activity as it stands, the sessions to come, as
    far as one looks ahead, and devices that cannot be told apart yet."""

    wanted: Wants
    cells: list[Cell]
    outings: list[Outing]
    pairs: list[Pair]
    plan: Plan
    claims: Claims

    @property
    def soon(self) -> list[Outing]:
        """Those of the next weeks."""
        return self.outings[: self.wanted.soon]

    def prospects(self, outings: Iterable[Outing]) -> list[Prospect]:
        """Each device at each activity to which these sessions add."""
        more = Counter((device, outing.activity) for outing in outings for device in outing.worn)
        return [
            self._prospect(cell, more[cell.device, cell.activity])
            for cell in self.cells
            if more[cell.device, cell.activity]
        ]

    def _prospect(self, cell: Cell, more: int) -> Prospect:
        half_width, wanted = cell.half_width_with(more), self.plan.half_width_bpm
        fewest = self.claims.tends.fewest_sessions
        return Prospect(
            cell,
            more,
            half_width,
            tends=cell.sessions < fewest <= cell.sessions + more,
            precise=half_width <= wanted and not cell.half_width <= wanted,
        )

    @property
    def steps(self) -> list[Step]:
        """The next session at each activity, the most useful first."""
        first: dict[str, Outing] = {}
        for outing in self.outings:
            first.setdefault(outing.activity, outing)
        found = [Step(outing, tuple(self.prospects([outing]))) for outing in first.values()]
        return sorted(found, key=lambda step: step.worth, reverse=True)


@dataclass(frozen=True)
class Recorded:
    """An archive's sessions, and its SESSIONS, METRICS, FINDINGS and COMPARISONS; all are empty
    before the first session."""

    intakes: Sequence[SessionIntake]
    sessions: pd.DataFrame
    metrics: pd.DataFrame
    findings: pd.DataFrame
    comparisons: pd.DataFrame

    @property
    def in_order(self) -> list[SessionIntake]:
        """The earliest first."""
        known = {intake.session: intake for intake in self.intakes}
        names = self.sessions.sort_values("started_at", na_position="first", kind="stable")
        return [known[name] for name in names["session"].astype(str) if name in known]


def outlook(so_far: Recorded, register: Mapping[str, str], plan: Plan, claims: Claims) -> Outlook:
    """`register`: the kind of each of its devices that is no reference, in its order."""
    table = session_table(so_far.metrics, tuple(NEEDED))
    table = table[table["alignment"] == Clocks.SETTLED]
    evidence = {(str(s), str(d)) for s, d in zip(table["session"], table["device"], strict=True)}
    intakes = so_far.in_order
    worn = recorded(intakes, evidence)
    wanted = wants(plan, register, so_far.sessions, intakes)
    standing = cells(wanted, table, so_far.findings, worn, plan, claims)
    missing = {(cell.device, cell.activity): cell.missing for cell in standing}
    most = max(MOST_AHEAD, wanted.soon)
    ahead = list(itertools.islice(schedule(missing, worn, wanted), most))
    return Outlook(wanted, standing, ahead, pairs(so_far.comparisons, wanted), plan, claims)
