"""A span of a session in which a device is not right, and what stands out within it."""

from dataclasses import dataclass

from strapline.ground.vocabulary import Fault

# The device follows on a level that is too low or too high.
LEVELS = (Fault.READS_LOW, Fault.READS_HIGH)


@dataclass(frozen=True)
class Episode:
    """A span of a session in which a device is not right, or an event within such a span.

    kind
        Its key among KINDS: of a span, what most of its time was.
    start_s, end_s
        Whole seconds from the session's first, the end exclusive.
    share
        Of the session's length.
    mean_error_bpm, peak_error_bpm
        Device minus reference; the peak is the largest either way. NaN without a value.
    evidence
        Why it is this kind, in one sentence with its numbers.
    on_track_after_s
        Seconds on track from its end to the next span or the session's end; none after an event.
    in_step_percent
        By what share of the reference it is off, where that share holds throughout; else NaN.
    drift_from_s, drift_from_bpm, drift_to_bpm
        From which second on its error grew evenly, from how much to how much at its end; NaN where
        it did not.
    highest_bpm
        The device's highest value. NaN without one.
    off_from_s
        Its first second at which the error is as large as ends a fault, where a value that the
        device kept was right for some time before; else NaN.
    part_of_s
        Where the span begins that it is an event of; None of a span itself.
    """

    kind: str
    start_s: int
    end_s: int
    share: float
    mean_error_bpm: float
    peak_error_bpm: float
    evidence: str
    on_track_after_s: int = 0
    in_step_percent: float = float("nan")
    drift_from_s: float = float("nan")
    drift_from_bpm: float = float("nan")
    drift_to_bpm: float = float("nan")
    highest_bpm: float = float("nan")
    off_from_s: float = float("nan")
    part_of_s: int | None = None

    @property
    def is_level(self) -> bool:
        return self.kind in LEVELS

    @property
    def drifts(self) -> bool:
        return self.drift_from_s == self.drift_from_s

    def grows_past(self, other: "Episode") -> bool:
        """Whether `other` is where its error, that grew, first was large."""
        return self.drift_from_s <= other.start_s < self.start_s and self.kind == other.kind

    @property
    def was_right(self) -> bool:
        """Whether it was, at first."""
        return self.off_from_s == self.off_from_s

    @property
    def off_s(self) -> int:
        return self.end_s - int(self.off_from_s if self.was_right else self.start_s)

    @property
    def duration_s(self) -> int:
        return self.end_s - self.start_s
