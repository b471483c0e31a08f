"""Each device at each activity: what there is, what it takes, and what further sessions buy."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.session_table import stated_wearers
from strapline.method.planning.precision import HALF_WIDTHS, Spread, sessions_for
from strapline.method.planning.schedule import Outing
from strapline.method.planning.spread import Grounds
from strapline.method.planning.wants import Wants

if TYPE_CHECKING:
    from strapline.ground.settings import Claims, Plan


# The statistics of FINDINGS whose intervals are planned for.
STATISTICS = {"bias": ("bias",), "limit": ("limit_lower", "limit_upper")}


@dataclass(frozen=True)
class Cell:
    """A device at an activity. left, right: sessions on that wrist, None of a device for no wrist;
    half-widths in bpm, NaN where there is none; missing: sessions still to record; in_a_year: those
    that a year holds; spread: what it is planned by, and `ground` where that was taken from."""

    device: str
    activity: str
    sessions: int
    wearers: int
    left: int | None
    right: int | None
    know: str
    half_width: float
    missing: int
    in_a_year: float
    spread: Spread
    ground: str

    @property
    def needed(self) -> int:
        """Sessions there are to be."""
        return self.sessions + self.missing

    @property
    def confounded(self) -> bool:
        """Never on both wrists, or nobody says where: device and wrist cannot be told apart."""
        return self.sessions > 0 and self.left is not None and not (self.left and self.right)

    @property
    def out_of_reach(self) -> bool:
        return self.missing > self.in_a_year

    def half_width_with(self, more: int) -> float:
        """With so many more sessions, if they are like those so far; NaN below two sessions."""
        of = HALF_WIDTHS[self.know]
        further = of(self.spread, self.sessions + more, None)
        if not math.isnan(self.half_width):
            # As the interval there is would shrink: the spread it has seen is its own.
            further *= self.half_width / of(self.spread, self.sessions, None)
        return further if math.isfinite(further) else math.nan


def cells(
    wanted: Wants,
    table: pd.DataFrame,
    found: pd.DataFrame,
    worn: Sequence[Outing],
    plan: Plan,
    claims: Claims,
) -> list[Cell]:
    """By activity, then device. `table`: a row a session and device; `found` under FINDINGS."""
    grounds = Grounds(table)
    known = _half_widths(found, plan)
    own = dict(iter(table.groupby(["device", "activity"])))
    lefts = Counter((outing.left, outing.activity) for outing in worn)
    rights = Counter((outing.right, outing.activity) for outing in worn)
    made = []
    for activity in wanted.activities:
        for device in wanted.devices:
            key = (device, activity)
            rows = own.get(key, table.iloc[:0])
            spread, words = grounds.of(device, activity)
            on_wrist = device not in wanted.elsewhere
            wrists = (lefts[key], rights[key]) if on_wrist else ()
            now = known.get(key, math.nan)
            left, right = wrists or (None, None)
            made.append(
                Cell(
                    device=device,
                    activity=activity,
                    sessions=len(rows),
                    wearers=stated_wearers(rows),
                    left=left,
                    right=right,
                    know=plan.know,
                    half_width=now,
                    missing=_missing(len(rows), now, wrists, spread, plan, claims),
                    in_a_year=wanted.in_a_year(device, activity),
                    spread=spread,
                    ground=words,
                )
            )
    return made


def _missing(
    count: int, now: float, wrists: tuple[int, ...], spread: Spread, plan: Plan, claims: Claims
) -> int:
    """Until it is known as well as wanted, has what a claim asks for, and sat on either wrist."""
    enough = sessions_for(HALF_WIDTHS[plan.know], spread, plan.half_width_bpm, plan.assurance)
    missing = 0 if now <= plan.half_width_bpm else max(enough - count, 1)
    on_each = sum(max(claims.tends.fewest_sessions - worn, 0) for worn in wrists)
    return max(missing, claims.does.fewest_sessions - count, on_each)


def _half_widths(found: pd.DataFrame, plan: Plan) -> dict[tuple[str, str], float]:
    """Those there are, in bpm: of both limits the larger."""
    own = found[
        (found["alignment"] == Clocks.SETTLED) & found["statistic"].isin(STATISTICS[plan.know])
    ]
    names = [own["device"].astype(str), own["activity"].astype(str)]
    known: dict[Any, float] = ((own["high"] - own["low"]) / 2).groupby(names).max().to_dict()
    return known
