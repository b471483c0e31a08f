"""Every span of a session in which a device is not right, and the account of all its seconds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.vocabulary import Fault
from strapline.method.episodes.cadence import following
from strapline.method.episodes.delay import delayed
from strapline.method.episodes.episode import Episode
from strapline.method.episodes.evidence import Detail, evidence
from strapline.method.episodes.level import away, is_spike
from strapline.method.episodes.spans import Span, spans_of, within
from strapline.method.episodes.stuck import stuck
from strapline.method.episodes.view import View

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

Candidate = tuple[Span, Detail]


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
    for kind in Fault:
        rest = replace(view, compared=view.compared & free)
        for span, detail in _candidates(kind, rest, settings):
            for start, end in spans_of(free & within([span], view.length)):
                if end - start >= _shortest_s(kind, settings):
                    episodes.append(_episode(kind, (start, end), view, detail))
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


def _shortest_s(kind: Fault, settings: Episodes) -> int:
    return {
        Fault.NO_VALUE: settings.no_value_s,
        Fault.STUCK: settings.stuck_s,
        Fault.FOLLOWS_CADENCE: settings.cadence_s,
        Fault.SPIKE: 1,
    }.get(kind, settings.shortest_s)


def _candidates(kind: Fault, view: View, settings: Episodes) -> Iterator[Candidate]:
    """Spans of `kind` among the seconds that no earlier kind took, with what speaks for it."""
    if kind == Fault.NO_VALUE:
        yield from ((span, None) for span in spans_of(view.no_device))
    elif kind == Fault.STUCK:
        yield from ((span, None) for span in stuck(view, settings))
    else:
        low, high = away(view, settings)
        spans = {Fault.READS_LOW: low, Fault.READS_HIGH: high}.get(kind, low + high)
        if kind == Fault.FOLLOWS_CADENCE:
            yield from (part for span in spans for part in following(view, span, settings))
        elif kind == Fault.SLOW_TO_FOLLOW:
            yield from delayed(view, spans, settings)
        else:
            yield from (
                (span, None)
                for span in spans
                if kind != Fault.SPIKE or is_spike(view, span, settings)
            )


def _episode(kind: Fault, span: Span, view: View, detail: Detail) -> Episode:
    start, end = span
    error = view.error_bpm[start:end]
    error = error[~np.isnan(error)]
    return Episode(
        kind=kind,
        start_s=start,
        end_s=end,
        share=(end - start) / view.length,
        mean_error_bpm=float(error.mean()) if error.size else np.nan,
        peak_error_bpm=float(error[np.abs(error).argmax()]) if error.size else np.nan,
        evidence=evidence(kind, span, view, detail),
    )
