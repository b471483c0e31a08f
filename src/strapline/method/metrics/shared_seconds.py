"""How far off two devices of one session were in the seconds in which both could be compared, and
how far apart.

A device that is missing where it is hard would else be held against one that is not.
"""

from __future__ import annotations

from itertools import permutations
from typing import TYPE_CHECKING

import pandas as pd

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.metric_rows import metric_rows
from strapline.method.metrics.view import View, views

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Tolerance

FIGURES = ("mae", "mape")
SPREAD = "sd_of_differences"


def shared_seconds(
    aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance
) -> pd.DataFrame:
    """A frame under METRICS from one under ALIGNED, in scopes `beside:<the other recording>`
    and `against:<it>`."""
    by_view: dict[object, list[View]] = {}
    for view in views(aligned, intake):
        by_view.setdefault(view.names["alignment"], []).append(view)
    return METRICS.from_rows(
        [
            row
            for together in by_view.values()
            for one, other in permutations(together, 2)
            if one.names["device"] != other.names["device"]
            for row in _beside(one, other, tolerance)
        ]
    )


def _beside(one: View, other: View, tolerance: Tolerance) -> list[dict[str, object]]:
    shared, name = one.compared & other.compared, other.names["recording"]
    off, apart = (
        Compared(side[shared], one.device[shared], tolerance)
        for side in (one.reference, other.device)
    )
    return [
        *metric_rows(one, f"{Scope.BESIDE}{name}", off, (*FIGURES, SPREAD), off.n),
        *metric_rows(one, f"{Scope.AGAINST}{name}", apart, (SPREAD,), off.n),
    ]
