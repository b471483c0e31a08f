"""What was decided about each recording's clock, and on what grounds."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

Decision = Literal["estimated", "stated", "trusted", "refused", "copy"]


class ClockDecision(BaseModel):
    """`offset_s` is added to the device's times in the aligned view; 0 where refused.

    The decision is 'copy' for a recording that is the reference's own signal and no evidence.

    estimate_s, correlation and lead are what the search found, whether or not it was accepted;
    they are None where no search was made or none was possible.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    recording: str
    offset_s: float
    decision: Decision
    reason: str
    estimate_s: float | None = None
    correlation: float | None = None
    lead: float | None = None


class SessionAlignment(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    session: str
    reference: str | None
    clocks: tuple[ClockDecision, ...]
