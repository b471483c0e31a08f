"""Every way in which a device is not right, in the order in which they are believed.

Where two would hold, the first one does. What is missing can be nothing else; then causes, the
narrower before the wider; what has none is a spike, or reads low or high. To add one is an entry
here: tables, lanes, sentences and pages take what they need from it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from strapline.ground.vocabulary import Fault
from strapline.method.episodes import evidence, testable
from strapline.method.episodes.cadence import following
from strapline.method.episodes.delay import delayed
from strapline.method.episodes.kind import Candidate, EpisodeKind
from strapline.method.episodes.level import away, is_spike, jumps, off_track
from strapline.method.episodes.steps import levels
from strapline.method.episodes.stuck import stuck
from strapline.method.episodes.view import View
from strapline.method.signal.spans import spans_of

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

# What makes an error large.
LARGE = ("enter_bpm", "leave_bpm", "bridge_s")


def _missing(view: View, settings: Episodes) -> Iterator[Candidate]:
    return ((span, None) for span in spans_of(view.no_device))


def _stuck(view: View, settings: Episodes) -> Iterator[Candidate]:
    return ((span, span) for span in stuck(view, settings))


def _late(view: View, settings: Episodes) -> list[Candidate]:
    return delayed(view, off_track(view, settings), away(view, settings), settings)


def _with_cadence(view: View, settings: Episodes) -> Iterator[Candidate]:
    low, high = away(view, settings)
    return (part for span in low + high for part in following(view, span, settings))


def _jumps(view: View, settings: Episodes) -> Iterator[Candidate]:
    low, high = away(view, settings)
    alone = [span for span in low + high if is_spike(view, span, settings)]
    return ((span, None) for span in (*alone, *jumps(view, settings)))


def _levels(side: int) -> Callable[[View, Episodes], Iterator[Candidate]]:
    """Of the spans in which it is low, or of those in which it is high."""
    return lambda view, settings: (
        level for span in away(view, settings)[side] for level in levels(view, span)
    )


KINDS: tuple[EpisodeKind, ...] = (
    EpisodeKind(
        key=Fault.NO_VALUE,
        name="No value",
        lane="no value",
        did="had no value",
        phase="had no value",
        how="The device alone is missing.",
        settings=("no_value_s",),
        shortest="no_value_s",
        spans=_missing,
        reason=evidence.value_missing,
        is_whole=True,
        has_error=False,
    ),
    EpisodeKind(
        key=Fault.STUCK,
        name="Stuck on one value",
        lane="stuck",
        did="was stuck on one value",
        phase="was stuck on one value and up to {size} bpm off",
        how="It repeats one value while the strap moves away from it.",
        settings=("enter_bpm", "stuck_s"),
        shortest="stuck_s",
        spans=_stuck,
        reason=evidence.one_value,
        not_testable=testable.too_steady_or_sparse,
        stands_out=True,
        is_whole=True,
    ),
    EpisodeKind(
        key=Fault.SLOW_TO_FOLLOW,
        name="Late",
        lane="late",
        did="was late",
        phase="was late and up to {size} bpm off",
        how="It is where the strap was some seconds before, which explains most of the error.",
        settings=(*LARGE, "shortest_s", "slow_s", "spike_bpm", "spike_longest_s"),
        shortest="shortest_s",
        spans=_late,
        reason=evidence.late,
        not_testable=testable.too_steady_for_lag,
    ),
    EpisodeKind(
        key=Fault.FOLLOWS_CADENCE,
        name="Shows the cadence",
        lane="cadence",
        did="showed the cadence",
        phase="showed the cadence and was up to {size} bpm off",
        how="It is near one, two or half times the cadence, far more than it would be by chance.",
        settings=(*LARGE, "cadence_within_bpm", "cadence_s"),
        shortest="cadence_s",
        spans=_with_cadence,
        reason=evidence.cadence_shown,
        not_testable=testable.without_cadence,
        stands_out=True,
    ),
    EpisodeKind(
        key=Fault.SPIKE,
        name="Jumps away",
        lane="spike",
        did="jumped away",
        phase="jumped by {size} bpm",
        how="A short, high error that begins or ends abruptly.",
        settings=(*LARGE, "spike_bpm", "spike_longest_s"),
        shortest="",
        spans=_jumps,
        reason=evidence.jump,
        not_testable=testable.too_sparse_for_jumps,
        stands_out=True,
    ),
    EpisodeKind(
        key=Fault.READS_LOW,
        name="Reads low",
        lane="low",
        did="read low",
        phase="read {size} bpm low on average",
        how="It is too low for too long, for none of the reasons above.",
        settings=(*LARGE, "shortest_s"),
        shortest="shortest_s",
        spans=_levels(0),
        reason=evidence.off_level,
    ),
    EpisodeKind(
        key=Fault.READS_HIGH,
        name="Reads high",
        lane="high",
        did="read high",
        phase="read {size} bpm high on average",
        how="It is too high for too long, for none of the reasons above.",
        settings=(*LARGE, "shortest_s"),
        shortest="shortest_s",
        spans=_levels(1),
        reason=evidence.off_level,
    ),
)


def kind(key: str) -> EpisodeKind:
    """The kind that tables call so. Raises KeyError."""
    for each in KINDS:
        if each.key == key:
            return each
    raise KeyError(key)


def in_order() -> list[str]:
    """Their keys."""
    return [each.key for each in KINDS]
