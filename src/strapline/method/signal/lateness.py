"""A device's delay: what is left between it and the strap once its clock is decided."""

from __future__ import annotations

from typing import TYPE_CHECKING

from strapline.ground.records import alignment
from strapline.ground.vocabulary import Decision, Status
from strapline.method.signal.response import Delay, response
from strapline.method.signal.spacing import is_line, unsure_s, usual_s

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
    )
    told = {"delay": found.throughout, "rising": found.rising, "falling": found.falling}
    left = {name: _rounded(one, unsure_s(apart_s)) for name, one in told.items()}
    return decision.model_copy(update=left)


def _rounded(found: Delay | None, unsure_s: float) -> alignment.Delay | None:
    if found is None:
        return None
    ends = found.delay_s, found.low_s - unsure_s, found.high_s + unsure_s
    values = (round(value, 1) for value in ends)
    return alignment.Delay(**dict(zip(("delay_s", "low_s", "high_s"), values, strict=True)))
