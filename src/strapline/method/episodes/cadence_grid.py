"""The cadence at each second of the reference's clock."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.method.signal.grid import epoch_seconds, values_at

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
    time_s = epoch_seconds(known["time"])
    if clock is not None:
        time_s = time_s + clock.offsets(time_s)
    return values_at(seconds, time_s, known["cadence_per_min"].to_numpy(), longest_gap_s)
