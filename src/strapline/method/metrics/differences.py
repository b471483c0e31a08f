"""How often each difference from the reference occurred in a session.

Limits of agreement go by bias and spread alone. Over sessions this says where the seconds
themselves lay.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import DIFFERENCES
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.view import views

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Tolerance


def differences(aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance) -> pd.DataFrame:
    """A frame under DIFFERENCES from one under ALIGNED."""
    of_views: dict[tuple[str, str], list[np.ndarray]] = {}
    for view in views(aligned, intake):
        compared = Compared.of(view, view.compared, tolerance)
        key = view.names["device"], view.names["alignment"]
        of_views.setdefault(key, []).append(compared.difference[compared.present])
    rows: list[dict[str, Any]] = []
    for (device, alignment), parts in of_views.items():
        every = np.round(np.concatenate(parts)).astype(int)
        names = {"session": intake.session, "device": device, "alignment": alignment}
        rows += [
            names | {"difference_bpm": int(bpm), "share": count / every.size}
            for bpm, count in zip(*np.unique(every, return_counts=True), strict=True)
        ]
    return DIFFERENCES.from_rows(rows)
