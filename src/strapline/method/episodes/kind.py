"""What there is to know of one way in which a device is not right."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

# A span, and what its detector found in it.
Candidate = tuple[Span, Any]


@dataclass(frozen=True)
class EpisodeKind:
    """A kind of episode.

    key
        What tables call it.
    name, lane
        What a table of faults calls it; the same in a word or two, for a lane of a picture.
    did, phase
        What the device did, to follow its name; the same in the course of a session, with {size}
        for how many bpm it was off: on average where that has one sign, else at most.
    how
        By what it is told from the others, in words.
    settings
        Those that its detector reads, and `shortest` among them: how long an episode lasts at
        least, in s; one of '' is of any length.
    spans
        The spans of a view in which it holds, with what speaks for it.
    reason
        Why a span is of this kind, in one sentence with the numbers in it.
    not_testable
        Why it could not be looked for in a view, in words that follow 'for'; None where it could.
    stands_out
        Whether it is told as an event within a span that was mostly of another kind.
    is_whole
        Whether it is told from first to last, be it beyond where the device is off.
    has_error
        Whether the device shows anything that can be off.
    """

    key: str
    name: str
    lane: str
    did: str
    phase: str
    how: str
    settings: tuple[str, ...]
    shortest: str
    spans: Callable[[View, Episodes], Iterable[Candidate]]
    reason: Callable[[Span, View, Any], str]
    not_testable: Callable[[View, Episodes], str | None] = lambda view, settings: None
    stands_out: bool = False
    is_whole: bool = False
    has_error: bool = True

    def shortest_s(self, settings: Episodes) -> float:
        return float(getattr(settings, self.shortest)) if self.shortest else 1.0
