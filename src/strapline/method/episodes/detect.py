"""Every span of a session in which a device is not right, and the account of all its seconds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from strapline.method.episodes import kinds
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.kind import EpisodeKind
from strapline.method.episodes.spans import Span, spans_of, within
from strapline.method.episodes.view import View

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes


@dataclass(frozen=True)
class Detection:
    """The episodes in order of time, and where else each second went.

    `on_track_s` + `not_compared_s` + the episodes' durations are `length_s` exactly.
    """

    episodes: tuple[Episode, ...]
    on_track_s: int
    not_compared_s: int
    length_s: int


def detect(view: View, settings: Episodes) -> Detection:
    """The episodes of one device in one session.

    Kinds claim seconds in the order of `KINDS`; what is left of a span of a later kind must
    still last long enough by itself. Seconds that cannot be compared belong to an episode only
    where it bridges them; a second without the device's value also where that lasts.
    """
    free = np.ones(view.length, dtype=bool)
    episodes: list[Episode] = []
    for kind in kinds.KINDS:
        shortest_s = kind.shortest_s(settings)
        rest = replace(view, compared=view.compared & free)
        for span, found in kind.spans(rest, settings):
            for start, end in spans_of(free & within([span], view.length)):
                if end - start >= shortest_s:
                    episodes.append(_episode(kind, (start, end), view, found))
                    free[start:end] = False
    on_track = free & view.compared
    on_track_s = int(on_track.sum())
    in_order = sorted(episodes, key=lambda episode: episode.start_s)
    return Detection(
        episodes=tuple(_with_what_follows(in_order, on_track)),
        on_track_s=on_track_s,
        not_compared_s=int(free.sum()) - on_track_s,
        length_s=view.length,
    )


def _with_what_follows(in_order: Sequence[Episode], on_track: np.ndarray) -> Iterator[Episode]:
    starts = [*(episode.start_s for episode in in_order[1:]), on_track.size]
    for episode, until in zip(in_order, starts, strict=False):
        yield replace(episode, on_track_after_s=int(on_track[episode.end_s : until].sum()))


def _episode(kind: EpisodeKind, span: Span, view: View, found: Any) -> Episode:
    start, end = span
    error = view.error_bpm[start:end]
    error = error[~np.isnan(error)]
    return Episode(
        kind=kind.key,
        start_s=start,
        end_s=end,
        share=(end - start) / view.length,
        mean_error_bpm=float(error.mean()) if error.size else np.nan,
        peak_error_bpm=float(error[np.abs(error).argmax()]) if error.size else np.nan,
        evidence=kind.reason(span, view, found),
    )
