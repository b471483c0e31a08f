"""The ledger: where every sample and every second of a session went; nothing is lost quietly."""

import collections
from collections.abc import Iterable
from dataclasses import dataclass

from pydantic import model_validator

from strapline.ground.documents import Strict
from strapline.ground.vocabulary import MaximumSource


@dataclass(frozen=True)
class MaximumHeartRate:
    """Maximum heart rate in bpm, and where it is from. An observed one is the highest rate seen:
    a lower bound, which makes efforts look harder than they were."""

    bpm: float
    source: MaximumSource


class Tally(Strict):
    """`total` things, of which `used` were used and the others left out, counted by reason.

    Raises ValueError when the sum does not match: that is a defect of Strapline.
    """

    total: int
    used: int
    left_out: dict[str, int]

    @model_validator(mode="after")
    def _sums_match(self) -> "Tally":
        if self.total != self.used + sum(self.left_out.values()):
            raise ValueError(f"ledger does not sum: {self.total} is not {self.used} + the rest")
        return self

    @classmethod
    def of(cls, total: int, words: Iterable[str], used: str) -> "Tally":
        """Count `words`, one a thing; those equal to `used` count as used."""
        counts = collections.Counter(words)
        kept = counts.pop(used, 0)
        return cls(total=total, used=kept, left_out=dict(sorted(counts.items())))


class RecordingLedger(Strict):
    """Raw samples (and RR intervals, where the file has them) against those kept, and the usual and
    the largest usual time between values, in s; 0 for fewer than two. `columns`: of a plot in a
    picture that it was read from, those with a value."""

    recording: str
    samples: Tally
    beats: Tally
    usual_s: float
    largest_usual_s: float
    columns: Tally | None = None


class ComparisonLedger(Strict):
    """Seconds of the reference's span against those compared with one device."""

    recording: str
    alignment: str
    seconds: Tally


class SessionLedger(Strict):
    """`maximum_heart_rate` is what bands of effort go by; None where nothing was compared."""

    session: str
    recordings: tuple[RecordingLedger, ...]
    comparisons: tuple[ComparisonLedger, ...]
    maximum_heart_rate: MaximumHeartRate | None = None
