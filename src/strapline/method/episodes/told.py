"""What is to be told of one device in one session, read back from its tables."""

from __future__ import annotations

from dataclasses import dataclass, fields

import pandas as pd

from strapline.ground.vocabulary import Fault
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kinds import kind

# As far as a listener follows a course; what weighs least is told after it.
MOST_SPANS = 5
# How much a second without any value counts, beside one that is so many bpm off.
NO_VALUE_COUNTS_BPM = 10.0
# This near to an end of the session is the end.
AT_AN_END_S = 20


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
    def ended_s(self) -> int:
        """Where its recording ends."""
        return self.length_s - int(self.course["after_s"])

    @property
    def late(self) -> tuple[Episode, ...]:
        """Spans in which it was slow to follow, which are told by their number and time."""
        return tuple(span for span in self.spans if span.kind == Fault.SLOW_TO_FOLLOW)

    @property
    def spikes(self) -> tuple[Episode, ...]:
        """Alone, and within spans of another kind."""
        return tuple(one for one in (*self.spans, *self.events) if one.kind == Fault.SPIKE)

    @property
    def main(self) -> tuple[Episode, ...]:
        """The spans that weigh most, late ones aside, in order of time."""
        others = [span for span in self.spans if span not in self.late]
        lasting = [span for span in others if span.kind != Fault.SPIKE]
        heaviest = sorted(lasting, key=lambda span: -_weight(span))[:MOST_SPANS]
        return tuple(sorted(heaviest, key=lambda span: span.start_s))

    @property
    def rest(self) -> tuple[Episode, ...]:
        """Spans that the course leaves to be told, and events of spans that it does not tell."""
        aside = {*self.late, *self.main}
        starts = {span.start_s for span in self.main}
        events = [event for event in self.events if event.part_of_s not in starts]
        left = [*(span for span in self.spans if span not in aside), *events]
        return tuple(sorted(left, key=lambda one: one.start_s))

    def within(self, span: Episode) -> tuple[Episode, ...]:
        """The events of `span`."""
        return tuple(event for event in self.events if event.part_of_s == span.start_s)

    def throughout(self, span: Episode) -> bool:
        return (
            span.start_s <= self.began_s + AT_AN_END_S and span.end_s >= self.ended_s - AT_AN_END_S
        )

    def wrong_s(self, start: int, end: int) -> tuple[int, int]:
        """From `start` to `end`: seconds off track but for being late, and seconds late."""
        late = sum(_overlap(span, start, end) for span in self.late)
        return sum(_overlap(span, start, end) for span in self.spans) - late, late


def _weight(span: Episode) -> float:
    counts = abs(span.mean_error_bpm) if kind(span.kind).has_error else NO_VALUE_COUNTS_BPM
    return counts * span.duration_s


def _overlap(span: Episode, start: int, end: int) -> int:
    return max(min(span.end_s, end) - max(span.start_s, start), 0)
