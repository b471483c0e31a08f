"""What was decided about each recording's clock, and on what grounds."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.documents import Strict
from strapline.ground.vocabulary import Clocks, Decision, Faulty

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake


class Piece(Strict):
    """A part of a recording whose clock is known: seconds since 1970 by the device's own clock,
    None where it is open to that side, and the offset to add there."""

    from_s: float | None
    until_s: float | None
    offset_s: float

    def holds(self, time_s: np.ndarray, at_s: float = 0.0) -> np.ndarray:
        """Which of these times lie within; by the device's clock, or by one `at_s` ahead of it."""
        low = -np.inf if self.from_s is None else self.from_s + at_s
        high = np.inf if self.until_s is None else self.until_s + at_s
        inside: np.ndarray = (time_s >= low) & (time_s < high)
        return inside


def offsets_in(pieces: Iterable[Piece], time_s: np.ndarray) -> np.ndarray:
    """The offset in s to add at each of the device's times, in seconds since 1970; NaN in none."""
    offsets = np.full(time_s.shape, np.nan)
    for piece in pieces:
        offsets[piece.holds(time_s)] = piece.offset_s
    return offsets


class Delay(Strict):
    """How far a device runs behind the reference, in s, with its 95 % interval."""

    delay_s: float
    low_s: float
    high_s: float

    def less(self, by_s: float) -> Delay:
        """What is left of it where so many seconds are taken out."""
        return Delay(**{name: round(value - by_s, 1) for name, value in self})

    @property
    def is_none(self) -> bool:
        """Whether it may be no delay at all."""
        return self.low_s <= 0 <= self.high_s or abs(self.delay_s) < 1

    def by_clock(self, within_s: float) -> Delay:
        """With the interval that it has by a clock right to within so many seconds: the two err
        independently."""
        low_s, high_s = (
            math.hypot(end - self.delay_s, within_s) for end in (self.low_s, self.high_s)
        )
        return Delay(
            delay_s=self.delay_s,
            low_s=round(self.delay_s - low_s, 1),
            high_s=round(self.delay_s + high_s, 1),
        )


class ClockDecision(Strict):
    """`offset_s` is added to the device's times in the settled view; 0 where the clock is right or
    nothing tells what it is.

    decision
        What decided: the card ('stated', 'trusted'), speed, cadence or power in both files
        ('channels'), 'satellites', another device with the same source of time ('bench'), heart
        rate where no sensor can explain the shift ('estimated'), or nothing ('refused').
        'stepping' and 'copy', of the strap's own signal, are no evidence.
    ground
        What makes the clock sure, and how far, in words; empty where nothing does.
    within_s
        To within how many seconds it is then right.
    delay, rising, falling
        How far the device then runs behind, throughout, at rises and at falls, by that clock; None
        where that is not told well enough, and where heart rate itself set the clock.
    uneven
        How much later it runs at rises than at falls, which no clock explains; None where that may
        be chance.

    estimate_s with its 95 % interval, closeness and lead tell where the heart rates agree best (see
    `strapline.method.signal.clocks.heart_rate_search.OffsetSearch`), and estimate_accepted whether
    that is told well enough; they are None where no search was possible. gross_shift_s is the part
    of offset_s that sets right a clock wrong by quarters of an hour. Where a drift is corrected,
    offset_s holds at holds_at_s, in seconds since 1970 by the device's clock, and grows by
    drift_per_hour_s. zone_in_doubt asks for the time zone where that may be wrong in place of the
    clock; `apart` says that another file of the device tells another clock. Where the clock jumps,
    `pieces` are the parts in which it is known, and offset_s is that of the first. stamp_shift_s is
    by how much each report lies later than its own time says, see `strapline.method.signal.stamps`.
    assumed_start: whose start nothing says, 'the strap’s' or 'its', so that what is said of the
    clock may be of that start; empty where both are known.
    """

    recording: str
    offset_s: float
    decision: Decision
    reason: str
    estimate_s: float | None = None
    low_s: float | None = None
    high_s: float | None = None
    closeness: float | None = None
    lead: float | None = None
    estimate_accepted: bool = False
    ground: str = ""
    within_s: float = 0.0
    delay: Delay | None = None
    rising: Delay | None = None
    falling: Delay | None = None
    uneven: Delay | None = None
    gross_shift_s: float = 0.0
    drift_per_hour_s: float = 0.0
    holds_at_s: float = 0.0
    zone_in_doubt: str = ""
    apart: str = ""
    pieces: tuple[Piece, ...] = ()
    stamp_shift_s: float = 0.0
    assumed_start: str = ""

    @property
    def moves(self) -> bool:
        """Whether the device's times are changed."""
        return bool(self.offset_s or self.drift_per_hour_s)

    @property
    def is_fitted(self) -> bool:
        """Whether heart rate set its clock to the second, which flatters the device; to set it by
        quarters of an hour does not."""
        to_the_second = self.offset_s != self.gross_shift_s or self.drift_per_hour_s or self.pieces
        return self.decision == Decision.ESTIMATED and bool(to_the_second)

    @property
    def delay_s(self) -> float | None:
        """How far the device runs behind throughout, in s, where that is told."""
        return self.delay.delay_s if self.delay else None

    @property
    def delays_s(self) -> dict[int, tuple[float, float]]:
        """The intervals of the delays that are told, in s, by the sign of the error that each
        makes: at rises -1, at falls 1, throughout 0."""
        told = {-1: self.rising, 1: self.falling, 0: self.delay}
        return {sign: (each.low_s, each.high_s) for sign, each in told.items() if each}

    def in_view(self, view: str) -> ClockDecision:
        """What is done with the device's times in a view of the clocks, and how late it then is."""
        if view == Clocks.SETTLED or self.delay is None:
            return self
        late_s = self.delay.delay_s
        pieces = [p.model_copy(update={"offset_s": p.offset_s - late_s}) for p in self.pieces]
        told = {"delay": self.delay, "rising": self.rising, "falling": self.falling}
        left = {name: each and each.less(late_s) for name, each in told.items()}
        offset_s = round(self.offset_s - late_s, 1)
        return self.model_copy(update={"offset_s": offset_s, "pieces": tuple(pieces)} | left)

    def offsets(self, time_s: np.ndarray) -> np.ndarray:
        """The offset in s to add at each of the device's times, in seconds since 1970; NaN where
        nothing tells it."""
        if not self.pieces:
            grown: np.ndarray = self.drift_per_hour_s / 3600 * (time_s - self.holds_at_s)
            return self.offset_s + grown
        return offsets_in(self.pieces, time_s)

    def unknown(self, seconds: np.ndarray) -> np.ndarray:
        """Which seconds of the reference's clock lie in none of the pieces, where there are any."""
        inside = [piece.holds(seconds, piece.offset_s) for piece in self.pieces]
        return ~np.any(inside, axis=0) if inside else np.zeros(seconds.shape, dtype=bool)


class ReferenceVerdict(Strict):
    """Seconds of the reference that are in question, those doubted by reason, their share, and
    whether that is too much for the session to be evidence."""

    seconds: int
    doubtful: dict[str, int]
    share: float
    set_aside: bool
    sentence: str


class SecondReference(Strict):
    """A recording of another reference worn in the session, and how it compares with the first.

    Seconds in which both have a value; the share of them within the tolerance; the median of
    second minus first; which of the two its own signal makes the faulty one.
    """

    recording: str
    seconds: int
    share_within: float | None
    median_difference_bpm: float | None
    faulty: Faulty
    sentence: str


class Alone(Strict):
    """A stretch, in seconds from the reference's first one, in which devices that agree with each
    other to within `spread_bpm` are `away_bpm` from the reference; `doubted`: its own signal
    gives cause there too."""

    start_s: int
    end_s: int
    away_bpm: float
    spread_bpm: float
    doubted: bool = False


class SessionAlignment(Strict):
    """`verdict` is None where there is no usable reference; `alone`: where it jumped away from
    devices that agree."""

    session: str
    reference: str | None
    verdict: ReferenceVerdict | None = None
    alone: tuple[Alone, ...] = ()
    second_references: tuple[SecondReference, ...] = ()
    clocks: tuple[ClockDecision, ...]

    @property
    def clocks_aligned(self) -> int:
        """Clocks that are settled: by something else than heart rate."""
        return sum(bool(clock.ground) for clock in self.clocks)

    @property
    def clocks_left(self) -> int:
        """Clocks of which nothing sure tells: left as recorded, or set by heart rate alone."""
        return sum(not clock.ground and clock.decision != Decision.COPY for clock in self.clocks)

    @property
    def fitted(self) -> frozenset[str]:
        """The recordings of which heart rate set the clock to the second."""
        return frozenset(clock.recording for clock in self.clocks if clock.is_fitted)


def set_aside(intake: SessionIntake, alignment: SessionAlignment) -> str | None:
    """Why the session is no evidence, if it is not: known at intake, or found of its reference."""
    if intake.set_aside is not None or alignment.verdict is None:
        return intake.set_aside
    return alignment.verdict.sentence if alignment.verdict.set_aside else None
