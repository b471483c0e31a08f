"""What is to be told of one device in one session, read back from its tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import pandas as pd

from strapline.ground.vocabulary import Fault
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kinds import kind
from strapline.method.episodes.lead import BY_EITHER
from strapline.method.episodes.not_compared import MUCH
from strapline.method.signal.spans import Span

# As far as a listener follows a course; what weighs least is told after it.
MOST_SPANS = 3
# From so many spans of a kind on, none of which is most of it, their number says more than each.
OFTEN = 4
# Levels that hold for so much of the time are told as one: what parts them is a moment's agreement.
MOST_OF_THE_TIME = 0.75
# How much a second without any value counts, beside one that is so many bpm off.
NO_VALUE_COUNTS_BPM = 10.0
# This near to an end of the session is the end.
AT_AN_END_S = 20


@dataclass(frozen=True)
class Repeated:
    """Spans of one kind, in order of time, that are told by their number and range."""

    spans: tuple[Episode, ...]

    @property
    def kind(self) -> str:
        return self.spans[0].kind

    @property
    def start_s(self) -> int:
        return self.spans[0].start_s

    @property
    def end_s(self) -> int:
        return self.spans[-1].end_s

    @property
    def worst(self) -> Episode:
        return max(self.spans, key=weight)

    @property
    def total_s(self) -> int:
        return sum(span.duration_s for span in self.spans)

    @property
    def mean_error_bpm(self) -> float:
        return sum(span.mean_error_bpm * span.duration_s for span in self.spans) / self.total_s

    @property
    def none_is_most_of_it(self) -> bool:
        return 2 * weight(self.worst) < sum(map(weight, self.spans))


@dataclass(frozen=True)
class Told:
    """course: its row under COURSES. spans, events: its rows under EPISODES, in order of time."""

    course: pd.Series
    spans: tuple[Episode, ...]
    events: tuple[Episode, ...]

    @classmethod
    def of(cls, course: pd.Series, found: pd.DataFrame) -> Told:
        names = [field.name for field in fields(Episode)]
        rows = [Episode(*values) for values in found[names].itertuples(index=False)]
        return cls(
            course,
            tuple(row for row in rows if pd.isna(row.part_of_s)),
            tuple(row for row in rows if not pd.isna(row.part_of_s)),
        )

    @property
    def length_s(self) -> int:
        return int(self.course["length_s"])

    @property
    def began_s(self) -> int:
        """Where the two could first be compared: before it there is no course."""
        return int(self.course["began_s"])

    @property
    def soon_s(self) -> int:
        """What begins by now was there from the start."""
        return self.began_s + AT_AN_END_S

    @property
    def ended_s(self) -> int:
        """Where its recording ends."""
        return self.length_s - int(self.course["after_s"])

    @property
    def throughout_compared(self) -> bool:
        """Whether the card left out nothing, and next to nothing else between its first and last
        second was left uncompared."""
        left = int(self.course["not_compared_s"]) - self._outside_s
        return not self.course["left_out_s"] and left <= MUCH * (self.length_s - self._outside_s)

    @property
    def throughout_recorded(self) -> bool:
        """Whether it recorded next to all of the session."""
        return self._outside_s <= MUCH * self.length_s

    @property
    def _outside_s(self) -> int:
        return int(self.course["before_s"] + self.course["after_s"])

    @property
    def late(self) -> tuple[Episode, ...]:
        """Spans in which it was late, which are told by their number and time."""
        return tuple(span for span in self.spans if span.kind == Fault.SLOW_TO_FOLLOW)

    @property
    def by_either(self) -> str:
        """Where nothing tells its clock, lateness is no fault of the device for certain."""
        return BY_EITHER if self.course["clock_is_open"] else ""

    @property
    def spikes(self) -> tuple[list[Episode], list[Episode]]:
        """Up and down, alone and within spans of another kind."""
        return up_and_down([s for s in (*self.spans, *self.events) if s.kind == Fault.SPIKE])

    @property
    def often(self) -> tuple[Repeated, ...]:
        """Kinds of span that came again and again, which are told together."""
        by_kind: dict[str, list[Episode]] = {}
        for span in self._lasting:
            by_kind.setdefault(span.kind, []).append(span)
        groups = [Repeated(tuple(spans)) for spans in by_kind.values() if len(spans) >= OFTEN]
        return tuple(group for group in groups if group.none_is_most_of_it)

    @property
    def mostly(self) -> Repeated | None:
        """What it read for most of the session."""
        least_s = MOST_OF_THE_TIME * self.length_s
        levels = (group for group in self.often if group.worst.is_level)
        return next((group for group in levels if group.total_s >= least_s), None)

    @property
    def main(self) -> tuple[Episode, ...]:
        """The spans that weigh most, late ones and repeated ones aside, in order of time; where
        what is repeated outweighs them, only what is worse than each of that."""
        together = {span for group in self.often for span in group.spans}
        single = [
            span for span in self._lasting if span not in together and span not in self._grown_past
        ]
        if sum(map(weight, together)) > sum(map(weight, single)):
            worst = max(map(weight, together))
            single = [span for span in single if weight(span) > worst]
        heaviest = sorted(single, key=lambda span: -weight(span))[:MOST_SPANS]
        return tuple(sorted(heaviest, key=lambda span: span.start_s))

    @property
    def rest(self) -> tuple[Episode, ...]:
        """Spans that the course leaves to be told, and events of spans that it does not tell."""
        aside = {*self.late, *self.main, *(span for group in self.often for span in group.spans)}
        aside |= {one for span in self.main for one in self.grown_past(span)}
        starts = {span.start_s for span in self.main}
        events = [event for event in self.events if event.part_of_s not in starts]
        left = [*(span for span in self.spans if span not in aside), *events]
        return tuple(sorted(left, key=lambda one: one.start_s))

    def grown_past(self, span: Episode) -> tuple[Episode, ...]:
        """Where an error that grew to `span` was first large."""
        return tuple(one for one in self._lasting if span.grows_past(one))

    @property
    def _grown_past(self) -> set[Episode]:
        return {one for span in self._lasting for one in self.grown_past(span)}

    @property
    def _lasting(self) -> list[Episode]:
        return [s for s in self.spans if s.kind not in (Fault.SLOW_TO_FOLLOW, Fault.SPIKE)]

    def within(self, span: Episode) -> tuple[Episode, ...]:
        """The events of `span`."""
        return tuple(event for event in self.events if event.part_of_s == span.start_s)

    def throughout(self, span: Episode) -> bool:
        return span.start_s <= self.soon_s and self.to_the_end(span)

    def to_the_end(self, span: Episode) -> bool:
        return span.end_s >= self.ended_s - AT_AN_END_S

    def wrong_s(self, stretches: Sequence[Span]) -> tuple[int, int]:
        """In `stretches`: seconds off track but for being late, and seconds late."""
        late = sum(_overlap(span, *each) for span in self.late for each in stretches)
        wrong = sum(_overlap(span, *each) for span in self.spans for each in stretches)
        return wrong - late, late


def up_and_down(spikes: Sequence[Episode]) -> tuple[list[Episode], list[Episode]]:
    up = [spike for spike in spikes if spike.peak_error_bpm > 0]
    return up, [spike for spike in spikes if spike not in up]


def weight(span: Episode) -> float:
    if not kind(span.kind).has_error:
        return NO_VALUE_COUNTS_BPM * span.duration_s
    # What is low and high in turn is off by more than its mean, and by less than its peak.
    in_turn = 0.0 if span.is_level else abs(span.peak_error_bpm) / 2
    return max(abs(span.mean_error_bpm) * span.duration_s, in_turn * span.off_s)


def _overlap(span: Episode, start: int, end: int) -> int:
    return max(min(span.end_s, end) - max(span.start_s, start), 0)
