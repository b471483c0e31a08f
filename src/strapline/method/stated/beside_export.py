"""What an app states beside the same device's export: do the two say the same?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from strapline.ground.records.stated import Stated
from strapline.ground.vocabulary import HeldAgainst, StatedFigure
from strapline.ground.words import bpm, clock, lasting, number, reading
from strapline.method.signal.trace import Trace
from strapline.method.stated.held import Held, agrees, apart, rounding_of
from strapline.method.stated.stretch import Stretch, lasts_s

# A recording may begin and end with the second before, or after, its first and last value.
LENGTHS_AGREE_S = 2.0


def beside_export(label: str, stated: Stated, trace: Trace, noun: str = "export") -> list[Held]:
    """Each stated figure beside that of the export, `trace`, in the order in which apps show them.
    `noun`: what the export is."""
    if not trace.time_s.size:
        return []
    beside, held = _Beside(label, stated, trace, noun), []
    if stated.average_bpm is not None:
        held.append(beside.average(stated.average_bpm))
    if stated.maximum_bpm is not None:
        held.append(beside.extreme(StatedFigure.MAXIMUM, stated.maximum_bpm))
    if stated.minimum_bpm is not None:
        held.append(beside.extreme(StatedFigure.MINIMUM, stated.minimum_bpm))
    if stated.duration is not None:
        held.append(beside.length(stated.duration))
    return held


@dataclass(frozen=True)
class _Beside:
    label: str
    stated: Stated
    trace: Trace
    noun: str

    @cached_property
    def whole(self) -> Stretch:
        return Stretch.of(self.trace)

    @property
    def lasts_s(self) -> float:
        return lasts_s(self.trace)

    @property
    def agree_s(self) -> float:
        """How far apart lengths may be that are the same."""
        return max(LENGTHS_AGREE_S, 2 * self.trace.spacing.usual_s)

    def is_as_long(self, length_s: float) -> bool:
        return (
            self.stated.duration is not None
            and abs(length_s - self.stated.duration) <= self.agree_s
        )

    @cached_property
    def same(self) -> Stretch:
        """What the app's figures are of: from the beginning as long as the app says, but all of it
        where that is its time, with gaps or without."""
        length_s = self.stated.duration
        if length_s is None or any(map(self.is_as_long, (self.lasts_s, self.whole.recorded_s))):
            return self.whole
        return Stretch.of(self.trace, until_s=self.trace.begins_s + length_s)

    @property
    def when(self) -> str:
        length_s = self.stated.duration
        if length_s is None:
            return "as a whole"
        is_short = length_s > self.lasts_s and self.same is not self.whole
        return "as far as it goes" if is_short else "over the same time"

    def average(self, value: float) -> Held:
        measured, rounding = self.same.average_bpm, rounding_of(value)
        says = f"{self.label}’s app says {reading(value)} bpm on average"
        if agrees(value, measured, rounding):
            sentence = f"{says}; its {self.noun} averages {number(measured)} {self.when}."
        else:
            why = next(self._reasons(value, rounding), f"Nothing in the {self.noun} explains that.")
            sentence = (
                f"{says}, {apart(value, measured)} than its {self.noun} {self.when} "
                f"({number(measured)}). {why}"
            )
        return self._held(StatedFigure.AVERAGE, value, measured, rounding, sentence)

    def _reasons(self, value: float, rounding: float) -> Iterator[str]:
        """What of the export would give the app's average."""
        whole = self.whole.average_bpm
        if agrees(value, whole, rounding):
            yield (
                f"The whole {self.noun}, {clock(self.lasts_s)}, averages {bpm(whole)}: the app’s "
                "average may end later than the time it states."
            )
        filled = Stretch.without_gaps(self.trace).average_bpm
        if agrees(value, filled, rounding):
            yield (
                f"With straight lines through its gaps it averages {bpm(filled)}: the app may "
                f"count pauses that the {self.noun} leaves out."
            )
        alike = float(self.whole.rate.mean())
        if agrees(value, alike, rounding):
            yield (
                f"With each value counted once, whatever its time, it averages {bpm(alike)}: the "
                "app may do that."
            )

    def extreme(self, figure: StatedFigure, value: float) -> Held:
        is_maximum = figure == StatedFigure.MAXIMUM
        word = "highest" if is_maximum else "lowest"
        measured, of_whole = (
            part.maximum_bpm if is_maximum else part.minimum_bpm for part in (self.same, self.whole)
        )
        rounding = rounding_of(value)
        says = f"{self.label}’s app says {reading(value)} at the {word}"
        own = f"the {word} value of its {self.noun}"
        if agrees(value, measured, rounding):
            sentence = f"{says}; {own} is {reading(measured)}."
        else:
            sentence = f"{says}, {apart(value, measured)} than {own} ({reading(measured)})."
            if agrees(value, of_whole, rounding):
                sentence += (
                    f" After the time that the app states, the {self.noun} has {reading(of_whole)}."
                )
        return self._held(figure, value, measured, rounding, sentence)

    def length(self, value: float) -> Held:
        lasts, recorded = self.lasts_s, self.whole.recorded_s
        says = f"{self.label}’s app says {clock(value)}; its {self.noun}"
        if self.is_as_long(lasts):
            sentence = f"{says} lasts {clock(lasts)}."
        elif self.is_as_long(recorded):
            sentence = (
                f"{says} lasts {clock(lasts)}, {lasting(lasts - recorded)} of that in gaps: the "
                "app leaves pauses out."
            )
        elif value < lasts:
            sentence = f"{says} goes on for {lasting(lasts - value)} after that."
        else:
            sentence = f"{says} ends {lasting(value - lasts)} before that."
        return self._held(StatedFigure.DURATION, value, lasts, self.agree_s, sentence)

    def _held(
        self, figure: StatedFigure, value: float, measured: float, rounding: float, sentence: str
    ) -> Held:
        over_s = self.same.recorded_s
        return Held(figure, HeldAgainst.EXPORT, value, measured, rounding, over_s, sentence)
