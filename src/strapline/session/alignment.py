"""What was decided about each recording's clock, and on what grounds."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

Decision = Literal["estimated", "stated", "trusted", "refused", "copy"]


class ClockDecision(BaseModel):
    """`offset_s` is added to the device's times in the aligned view; 0 where refused.

    The decision is 'copy' for a recording that is the reference's own signal and no evidence.

    estimate_s with its 95 % interval, closeness and lead are what the search found (see
    `strapline.signal.clock_offset.OffsetSearch`), whether or not it was accepted; they are None
    where no search was made or none was possible. gross_shift_s is the part of offset_s that
    sets right a clock wrong by quarters of an hour.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    recording: str
    offset_s: float
    decision: Decision
    reason: str
    estimate_s: float | None = None
    low_s: float | None = None
    high_s: float | None = None
    closeness: float | None = None
    lead: float | None = None
    gross_shift_s: float = 0.0


class SessionAlignment(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    session: str
    reference: str | None
    clocks: tuple[ClockDecision, ...]
