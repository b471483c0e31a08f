"""A test as it stands and as it should go on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.records.intake import SessionIntake
from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.session_table import session_table
from strapline.method.planning.cells import Cell, cells
from strapline.method.planning.schedule import Outing, schedule
from strapline.method.planning.spread import NEEDED
from strapline.method.planning.wants import Wants, recorded, wants

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan


@dataclass(frozen=True)
class Outlook:
    """What is wanted, each device at each activity as it stands, and the sessions to come."""

    wanted: Wants
    cells: list[Cell]
    outings: list[Outing]


def outlook(
    intakes: Sequence[SessionIntake],
    sessions: pd.DataFrame,
    metrics: pd.DataFrame,
    found: pd.DataFrame,
    register: Sequence[str],
    plan: Plan,
    claims: Claims,
) -> Outlook:
    """From the archive's SESSIONS, METRICS and FINDINGS, all empty before the first session.

    `register`: its devices that are no reference, in its order.
    """
    table = session_table(metrics, tuple(NEEDED))
    table = table[table["alignment"] == Clocks.SETTLED]
    evidence = {(str(s), str(d)) for s, d in zip(table["session"], table["device"], strict=True)}
    worn = recorded(intakes, evidence)
    wanted = wants(plan, register, sessions)
    standing = cells(wanted, table, found, worn, plan, claims)
    missing = {(cell.device, cell.activity): cell.missing for cell in standing}
    names = (wanted.devices, wanted.activities, wanted.wearers)
    return Outlook(wanted, standing, schedule(missing, worn, *names))
