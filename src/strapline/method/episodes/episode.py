"""What an episode is, and in which order kinds are believed."""

from dataclasses import dataclass
from typing import Literal, get_args

Kind = Literal[
    "no_value", "stuck", "slow_to_follow", "follows_cadence", "spike", "reads_low", "reads_high"
]
# The order of precedence: where two kinds would hold, the first one does. What is missing can
# be nothing else; then causes, the narrower before the wider; what has none reads low or high.
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True)
class Episode:
    """A span of a session in which a device is not right.

    start_s, end_s
        Whole seconds from the session's first, the end exclusive.
    share
        Of the session's length.
    mean_error_bpm, peak_error_bpm
        Device minus reference; the peak is the largest either way. NaN without a value.
    evidence
        Why it is this kind, in one sentence with its numbers.
    on_track_after_s
        Seconds on track from its end to the next episode or the session's end.
    """

    kind: Kind
    start_s: int
    end_s: int
    share: float
    mean_error_bpm: float
    peak_error_bpm: float
    evidence: str
    on_track_after_s: int = 0

    @property
    def duration_s(self) -> int:
        return self.end_s - self.start_s
