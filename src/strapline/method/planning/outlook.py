"""A test as it stands and as it should go on."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.session_table import session_table
from strapline.method.planning.apart import Pair, pairs
from strapline.method.planning.cells import Cell, cells
from strapline.method.planning.schedule import Outing, schedule
from strapline.method.planning.spread import NEEDED
from strapline.method.planning.steps import Buying, Step
from strapline.method.planning.wants import Wants, recorded, wants

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan

# What is recorded by then changes the rest.
MOST_AHEAD = 24


@dataclass(frozen=True)
class Outlook:
    """What is wanted, each device at each activity as it stands, the sessions of the next weeks
    with what each buys, those to come as far as one looks ahead, these first, and devices that
    cannot be told apart yet."""

    wanted: Wants
    cells: list[Cell]
    steps: list[Step]
    outings: list[Outing]
    pairs: list[Pair]
    plan: Plan
    claims: Claims

    def called(self, names: Mapping[str, str]) -> Outlook:
        """The same with wearers by these names; who has none is not named."""

        def named(outing: Outing) -> Outing:
            return replace(outing, wearer=names.get(outing.wearer, ""))

        steps = [replace(step, outing=named(step.outing)) for step in self.steps]
        return replace(self, steps=steps, outings=list(map(named, self.outings)))


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
    buying = Buying({(cell.device, cell.activity): cell for cell in standing}, plan, claims)
    steps = list(buying.in_order(ahead[: wanted.soon], is_given=bool(wanted.week)))
    outings = [*(step.outing for step in steps), *ahead[wanted.soon :]]
    apart = pairs(so_far.comparisons, wanted)
    return Outlook(wanted, standing, steps, outings, apart, plan, claims)
