"""The cadence at each second of the reference's clock."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision


def cadence_at(
    seconds: np.ndarray,
    channels: pd.DataFrame,
    clock: ClockDecision | None,
    longest_gap_s: float,
) -> np.ndarray | None:
    """Steps or turns a minute at each of `seconds`, shape (n,), NaN where missing; None if the
    recording (under CHANNELS) has none at all.

    Its times are set by `clock`, a drift included; None leaves them as they are. Samples without
    a usable heart rate still tell the cadence.
    """
    known = channels.dropna(subset=["time", "cadence_per_min"])
    if known.empty:
        return None
    cadence = Trace(epoch_seconds(known["time"]), known["cadence_per_min"].to_numpy())
    if clock is not None:
        cadence = cadence.shifted(clock.offsets(cadence.time_s))
    return cadence.at(seconds, longest_gap_s)
