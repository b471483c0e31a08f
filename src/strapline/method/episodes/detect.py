"""Every span of a session in which a device is not right, and the account of all its seconds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from strapline.method.episodes import kinds
from strapline.method.episodes.drift import drift
from strapline.method.episodes.episode import LEVELS, Episode
from strapline.method.episodes.kind import EpisodeKind
from strapline.method.episodes.level import in_step_percent, off_track, without_jumps
from strapline.method.episodes.steps import is_step
from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span, lies_in, spans_of, within

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

# An error that begins so much later than its fault is told apart.
RIGHT_S = 10


@dataclass(frozen=True)
class Detection:
    """Spans off track in order of time, events within them, and where else each second went.

    `on_track_s` + `not_compared_s` + the spans' durations are `length_s` exactly.
    """

    episodes: tuple[Episode, ...]
    events: tuple[Episode, ...]
    on_track_s: int
    not_compared_s: int
    length_s: int


@dataclass(frozen=True)
class Piece:
    """Seconds that a kind claims, and what its detector found in them."""

    kind: EpisodeKind
    span: Span
    found: Any

    @property
    def length_s(self) -> int:
        return self.span[1] - self.span[0]


def detect(view: View, settings: Episodes) -> Detection:
    """The spans off track of one device in one session, and what stands out in them.

    First it is found where the device leaves the reference and rejoins it; kinds then claim the
    seconds of these spans in the order of `KINDS`. Where one course gives way to another, as where
    low turns high, a span ends and the next begins; each is told by the kind that has most of it.
    What is missing is a span of its own, and so is a value that the device kept before the error
    grew or after. Seconds that cannot be compared belong to a span only where it bridges them; a
    second without the device's value also where that lasts.
    """
    events = []
    own = _of_their_own(view, settings)
    episodes = [_episode(piece, piece.span, view, settings) for piece in own]
    free = ~within([piece.span for piece in own], view.length)
    rest = replace(view, compared=view.compared & free)
    spans = off_track(rest, settings)
    pieces = _pieces(rest, settings, within(spans, view.length) & free, kinds.KINDS)
    for span in spans:
        for part in _parts([p for p in pieces if lies_in(p.span, span)]):
            episode, within_it = _told(part, view, settings)
            episodes.append(episode)
            events += within_it
    wrong = within([(e.start_s, e.end_s) for e in episodes], view.length)
    on_track = view.compared & ~wrong
    on_track_s = int(on_track.sum())
    calm = without_jumps(view, settings)
    in_order = sorted(episodes, key=lambda episode: episode.start_s)
    return Detection(
        episodes=tuple(
            _grown(each, in_order, calm, settings)
            for each in _with_what_follows(in_order, on_track)
        ),
        events=tuple(sorted(events, key=lambda event: event.start_s)),
        on_track_s=on_track_s,
        not_compared_s=int((~wrong).sum()) - on_track_s,
        length_s=view.length,
    )


def _of_their_own(view: View, settings: Episodes) -> list[Piece]:
    """What is told from its first second to its last: no part of a span off track, but beyond."""
    spans = off_track(view, settings)
    whole = [kind for kind in kinds.KINDS if kind.is_whole]
    anywhere = np.ones(view.length, dtype=bool)
    return [
        piece
        for piece in _pieces(view, settings, anywhere, whole)
        if not any(lies_in(piece.span, span) for span in spans)
    ]


def _pieces(
    view: View, settings: Episodes, claimable: np.ndarray, among: Sequence[EpisodeKind]
) -> list[Piece]:
    """What each kind claims of the seconds `claimable`, shape (n,), those before it aside; what is
    left to a kind must still last long enough by itself, and hold something that can be off."""
    free, pieces = claimable.copy(), []
    for kind in among:
        shortest_s = max(kind.shortest_s(settings), view.shortest_s)
        for span, found in kind.spans(view, settings):
            for start, end in spans_of(free & within([span], view.length)):
                shows = view.compared[start:end].any() or not kind.has_error
                if shows and end - start >= shortest_s:
                    pieces.append(Piece(kind, (start, end), found))
                    free[start:end] = False
    return pieces


def _parts(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """The pieces of a span in order of time, parted where those that do not stand out turn from one
    kind, or level, into another."""
    parts: list[list[Piece]] = []
    course: Piece | None = None
    for piece in sorted(pieces, key=lambda piece: piece.span):
        own = None if piece.kind.stands_out else piece
        if not parts or (own and course and not _go_on(course, own)):
            parts.append([])
        parts[-1].append(piece)
        course = own or course
    return parts


def _go_on(one: Piece, other: Piece) -> bool:
    if one.kind.key in LEVELS and other.kind.key in LEVELS and is_step(one.found, other.found):
        return False
    return one.kind is other.kind


def _told(pieces: Sequence[Piece], view: View, settings: Episodes) -> tuple[Episode, list[Episode]]:
    """A span by what most of its time was, and the events within it."""
    span = pieces[0].span[0], pieces[-1].span[1]
    time_s: dict[str, int] = {}
    # However many, jumps are events of what lasts.
    for piece in [p for p in pieces if p.kind.shortest] or pieces:
        time_s[piece.kind.key] = time_s.get(piece.kind.key, 0) + piece.length_s
    most = max(time_s, key=lambda key: time_s[key])
    main = max((p for p in pieces if p.kind.key == most), key=lambda piece: piece.length_s)
    apart = [p for p in pieces if p.kind.key != most and p.kind.stands_out]
    aside = within([piece.span for piece in apart], view.length)
    events = [
        replace(_episode(piece, piece.span, view, settings), part_of_s=span[0]) for piece in apart
    ]
    rest = replace(view, compared=view.compared & ~aside)
    return _episode(main, span, rest, settings), events


def _with_what_follows(in_order: Sequence[Episode], on_track: np.ndarray) -> Iterator[Episode]:
    starts = [*(episode.start_s for episode in in_order[1:]), on_track.size]
    for episode, until in zip(in_order, starts, strict=False):
        yield replace(episode, on_track_after_s=int(on_track[episode.end_s : until].sum()))


def _grown(episode: Episode, every: Sequence[Episode], view: View, settings: Episodes) -> Episode:
    """With how its error grew, whatever else there was, where that has one sign."""
    others = [(one.start_s, one.end_s) for one in every if one.kind != episode.kind]
    rest = replace(view, compared=view.compared & ~within(others, view.length))
    span = episode.start_s, episode.end_s
    found = drift(rest, span, settings.enter_bpm) if episode.is_level else None
    if found is None or episode.in_step_percent == episode.in_step_percent:
        return episode
    return replace(
        episode,
        drift_from_s=found.from_s,
        drift_from_bpm=found.from_bpm,
        drift_to_bpm=found.to_bpm,
    )


def _episode(piece: Piece, span: Span, view: View, settings: Episodes) -> Episode:
    start, end = span
    error = view.error_bpm[start:end]
    right_s = int(np.argmax(np.abs(error) >= settings.leave_bpm)) if piece.kind.is_whole else 0
    error = error[~np.isnan(error)]
    device = view.device_bpm[start:end][view.compared[start:end]]
    kind = piece.kind
    return Episode(
        kind=kind.key,
        start_s=start,
        end_s=end,
        share=(end - start) / view.length,
        mean_error_bpm=float(error.mean()) if error.size else np.nan,
        peak_error_bpm=float(error[np.abs(error).argmax()]) if error.size else np.nan,
        # What stands out is judged where it does, a level over all of it.
        evidence=kind.reason(piece.span if kind.stands_out else span, view, piece.found),
        in_step_percent=in_step_percent(view, span) if kind.key in LEVELS else np.nan,
        off_from_s=start + right_s if right_s >= RIGHT_S else np.nan,
        highest_bpm=float(device.max()) if device.size else np.nan,
    )
