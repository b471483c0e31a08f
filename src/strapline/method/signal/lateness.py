"""A device's delay: what is left between it and the strap once its clock is decided."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.records.alignment import Delay
from strapline.ground.vocabulary import Decision, Status
from strapline.method.signal.response import response
from strapline.method.signal.spacing import is_line, usual_s

if TYPE_CHECKING:
    import pandas as pd

    from strapline.ground.records.alignment import ClockDecision

# Where heart rate set the clock, clock and sensor cannot be parted.
NO_DELAY = (Decision.ESTIMATED, Decision.STEPPING, Decision.COPY)


def with_delay(decision: ClockDecision, aligned: pd.DataFrame) -> ClockDecision:
    """The decision with the delay that it leaves, from the device's rows under ALIGNED by it."""
    compared = aligned["status"] == Status.COMPARED
    if decision.decision in NO_DELAY or not compared.any():
        return decision
    apart_s = usual_s(aligned.loc[compared, "stands_for_s"].to_numpy())
    if not is_line(apart_s):
        return decision
    comparable = compared | (aligned["status"] == Status.NO_DEVICE)
    found = response(
        aligned["reference_bpm"].where(comparable).to_numpy(),
        aligned["device_bpm"].where(compared).to_numpy(),
        apart_s,
    )
    told = {
        "delay": found.throughout,
        "rising": found.rising,
        "falling": found.falling,
        "uneven": found.uneven,
    }
    return decision.model_copy(update={name: _rounded(one) for name, one in told.items()})


def _rounded(found: Delay | None) -> Delay | None:
    return found and Delay(**{name: round(value, 1) for name, value in found})
