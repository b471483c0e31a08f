"""Each device at each activity: what there is, what it takes, and what one more session buys."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.session_table import stated_wearers
from strapline.method.planning.precision import HALF_WIDTHS, sessions_for
from strapline.method.planning.schedule import Outing
from strapline.method.planning.spread import ground
from strapline.method.planning.wants import Wants

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan


# The statistics of FINDINGS whose intervals are planned for.
STATISTICS = {"bias": ("bias",), "limit": ("limit_lower", "limit_upper")}


@dataclass(frozen=True)
class Cell:
    """A device at an activity. left, right: sessions on that wrist; half-widths in bpm, NaN where
    there is none; needed: sessions in all; missing: sessions still to record; ground: what the
    spread it is planned by was taken from."""

    device: str
    activity: str
    sessions: int
    wearers: int
    left: int
    right: int
    half_width: float
    with_one_more: float
    needed: int
    missing: int
    ground: str

    @property
    def confounded(self) -> bool:
        """Never on both wrists, or nobody says where: device and wrist cannot be told apart."""
        return self.sessions > 0 and not (self.left and self.right)


def cells(
    wanted: Wants,
    table: pd.DataFrame,
    found: pd.DataFrame,
    worn: Sequence[Outing],
    plan: Plan,
    claims: Claims,
) -> list[Cell]:
    """By activity, then device. `table`: a row a session and device; `found` under FINDINGS."""
    return [
        _cell(device, activity, table, found, worn, plan, claims)
        for activity in wanted.activities
        for device in wanted.devices
    ]


def _cell(
    device: str,
    activity: str,
    table: pd.DataFrame,
    found: pd.DataFrame,
    worn: Sequence[Outing],
    plan: Plan,
    claims: Claims,
) -> Cell:
    own = table[(table["device"] == device) & (table["activity"] == activity)]
    here = [outing for outing in worn if outing.activity == activity]
    left = sum(outing.left == device for outing in here)
    right = sum(outing.right == device for outing in here)
    count = len(own)
    basis = ground(table, device, activity)
    half_width = HALF_WIDTHS[plan.know]
    now = _known(found, device, activity, plan)
    further = half_width(basis.spread, count + 1, None)
    if not math.isnan(now):
        # As the interval there is would shrink: the spread it has seen is its own.
        further *= now / half_width(basis.spread, count, None)
    enough = sessions_for(half_width, basis.spread, plan.half_width_bpm, plan.assurance)
    fewest = claims.does.fewest_sessions
    missing = 0 if now <= plan.half_width_bpm else max(enough - count, 1)
    on_each = claims.tends.fewest_sessions
    wrists = max(on_each - left, 0) + max(on_each - right, 0)
    missing = max(missing, fewest - count, wrists)
    return Cell(
        device=device,
        activity=activity,
        sessions=count,
        wearers=stated_wearers(own),
        left=left,
        right=right,
        half_width=now,
        with_one_more=further if math.isfinite(further) else math.nan,
        needed=count + missing,
        missing=missing,
        ground=basis.words,
    )


def _known(found: pd.DataFrame, device: str, activity: str, plan: Plan) -> float:
    """The half-width there is, in bpm: of both limits the larger; NaN where there is none."""
    own = found[
        (found["device"] == device)
        & (found["activity"] == activity)
        & (found["alignment"] == Clocks.SETTLED)
        & found["statistic"].isin(STATISTICS[plan.know])
    ]
    return float(((own["high"] - own["low"]) / 2).max()) if len(own) else math.nan
