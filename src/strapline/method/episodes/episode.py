"""A span of a session in which a device is not right."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Episode:
    """A span of a session in which a device is not right.

    kind
        Its key among KINDS.
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

    kind: str
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
