"""How many further sessions with both of two devices it takes to tell them apart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy import special

from strapline.ground.vocabulary import Clocks
from strapline.method.agreement.head_to_head import ALPHA
from strapline.method.planning.precision import MOST
from strapline.method.planning.wants import Wants

METRIC = "mae"
# With fewer sessions together, what they differ by is anybody's guess.
FEWEST = 3


@dataclass(frozen=True)
class Pair:
    """Two devices at an activity that nobody can tell apart yet, and how many more sessions with
    both that may take; `in_a_year`: how many a year holds."""

    device_a: str
    device_b: str
    activity: str
    missing: int
    in_a_year: float

    @property
    def out_of_reach(self) -> bool:
        return self.missing > self.in_a_year


def pairs(compared: pd.DataFrame, wanted: Wants) -> list[Pair]:
    """From COMPARISONS; what takes fewest sessions comes first."""
    family = compared[
        (compared["alignment"] == Clocks.SETTLED)
        & (compared["metric"] == METRIC)
        & compared["activity"].isin(wanted.activities)
    ]
    names = dict.fromkeys(["device_a", "device_b", "activity"], str)
    found = list(_open(family.astype(names).to_dict("records"), wanted))
    return sorted(found, key=lambda pair: (pair.missing, wanted.activities.index(pair.activity)))


def _open(rows: Sequence[Mapping[Any, Any]], wanted: Wants) -> Iterator[Pair]:
    for row in rows:
        count, a, b = int(row["sessions"]), row["device_a"], row["device_b"]
        told = row["p_family"] < ALPHA and not row["confounded"]
        if told or count < FEWEST or not {a, b} <= set(wanted.devices):
            continue
        enough = _sessions(max(row["closer"], 1 - row["closer"]), int(row["pairs"]))
        enough = max(enough, count + 1)
        in_a_year = wanted.at_activity(row["activity"])
        yield Pair(a, b, row["activity"], enough - count, in_a_year)


def _sessions(share: float, pairs: int) -> int:
    """The fewest that show it by the sign test, of so many pairs, if the same device goes on being
    closer in that share of them. MOST + 1 stands for more than MOST."""
    numbers = np.arange(FEWEST, MOST + 1)
    # Parts of a session, left by a share that was seen, are no shares.
    others = np.ceil(numbers * (1 - share) - 1e-9)
    enough = numbers[pairs * 2 * special.bdtr(others, numbers, 0.5) < ALPHA]
    return int(enough[0]) if enough.size else MOST + 1
