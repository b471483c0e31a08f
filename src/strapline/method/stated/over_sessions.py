"""What apps state, over sessions: how far from their own exports, and what of it counts among the
figures of devices that export nothing."""

from __future__ import annotations

import numpy as np
import pandas as pd

from strapline.ground.tables.archive import APPS
from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Clocks, HeldAgainst, Scope, StatedFigure

KEYS = ["device", "against", "figure", "unit"]

# What a stated figure counts as where it is held against the strap: the difference, and that in
# percent of the strap's.
COUNTS_AS: dict[str, tuple[str, str]] = {
    StatedFigure.AVERAGE: ("bias", "bias_percent"),
    StatedFigure.MAXIMUM: ("maximum_difference", "maximum_difference_percent"),
}


def apps(stated: pd.DataFrame) -> pd.DataFrame:
    """A frame under APPS from the archive's STATED: a row a device, figure and what it is held
    against, sessions counting alike."""
    known = stated[stated["difference"].notna()].astype(dict.fromkeys([*KEYS, "session"], str))
    beyond = known["difference"].abs() >= known["rounding"] - 1e-9
    groups = known.assign(beyond=beyond).groupby(KEYS)
    differences = groups["difference"]
    table = pd.DataFrame(
        {
            "sessions": groups["session"].nunique(),
            "mean": differences.mean(),
            "lowest": differences.min(),
            "highest": differences.max(),
            "beyond_rounding": groups["beyond"].sum(),
        }
    ).reset_index()
    return APPS.frame({name: table[name] for name in APPS.column_names})


def counted(stated: pd.DataFrame) -> pd.DataFrame:
    """Rows under METRICS of what is held against the strap: of whole sessions, by settled clocks,
    and without intervals."""
    own = stated[(stated["against"] == HeldAgainst.STRAP) & stated["difference"].notna()]
    rows: list[dict[str, object]] = []
    for row in own.to_dict("records"):
        percent = 100 * row["difference"] / row["measured"]
        values = zip(COUNTS_AS[row["figure"]], (row["difference"], percent), strict=True)
        rows += [
            {name: row[name] for name in ("session", "wearer", "activity", "device", "recording")}
            | {"scope": Scope.WHOLE, "alignment": Clocks.SETTLED, "metric": metric}
            | {"value": value, "ci_low": np.nan, "ci_high": np.nan, "n": round(row["over_s"])}
            | {"unit": "%" if metric.endswith("_percent") else row["unit"]}
            for metric, value in values
        ]
    return METRICS.from_rows(rows)
