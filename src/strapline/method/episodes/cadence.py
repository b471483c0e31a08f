"""Where the device shows the steps, or the turns of the pedals, in place of the heart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.method.episodes.view import View
from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.spans import Span, bridged, spans_of
from strapline.method.signal.trace import Trace

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.settings import Episodes


MULTIPLES = (1.0, 2.0, 0.5)
# A chance likeness is one to a cadence that was not there: this much lower or higher.
ELSEWHERE_PER_MIN = tuple(float(s * d) for d in range(9, 41) for s in (-1, 1))
LEAST_SHARE = 0.7
# Following the cadence must be likelier than not by this factor.
LEAST_RATIO = 3.0
# How much better a constant error may fit before it is believed instead.
MARGIN_BPM = 1.5
# The reading turns to the cadence, and back to the heart, within so many seconds.
TURN_S = 15
LONGEST_INTERVAL_S = 10


@dataclass(frozen=True)
class Likeness:
    """How the device goes with `multiple` times the cadence in a span.

    `share` of its seconds lie within `within_bpm`; `chance` is the mean share for cadences that
    were not there.
    """

    multiple: float
    within_bpm: float
    share: float
    chance: float
    distance_bpm: float


def following(view: View, span: Span, settings: Episodes) -> list[tuple[Span, Likeness]]:
    """The parts of `span`, in which the error is large, that follow the cadence.

    A part lasts at least `cadence_s`, with the device within `cadence_within_bpm` of the same
    multiple of the cadence but for `bridge_s`. It counts if the likeness is far above chance
    and the error is not constant instead, as it would be in a sensor that follows the heart.
    """
    if view.interval_s > LONGEST_INTERVAL_S:
        return []
    start, end = span
    found = []
    for multiple in MULTIPLES:
        with np.errstate(invalid="ignore"):
            apart = np.abs(view.device_bpm - multiple * view.cadence_per_min)[start:end]
            close = apart <= settings.cadence_within_bpm
        close &= view.compared[start:end]
        for first, last in spans_of(bridged(close, settings.bridge_s)):
            part = start + first, start + last
            if last - first >= settings.cadence_s:
                likeness = likeness_of(view, part, multiple, settings.cadence_within_bpm)
                if _believed(view, part, likeness):
                    found.append((_with_ends(part, span), likeness))
    return found


def _with_ends(part: Span, span: Span) -> Span:
    """`part` with the short ways to the cadence and back, where they are in `span`."""
    start = span[0] if part[0] - span[0] <= TURN_S else part[0]
    end = span[1] if span[1] - part[1] <= TURN_S else part[1]
    return start, end


def likeness_of(view: View, span: Span, multiple: float, within_bpm: float) -> Likeness:
    """The likeness in `span`, against cadences moved by 9 to 40 a minute either way.

    Moved in level and not in time: a steady run has the same cadence at all times.
    """
    inside = slice(*span)
    known = view.compared[inside] & ~np.isnan(view.cadence_per_min[inside])
    apart = (view.device_bpm - multiple * view.cadence_per_min)[inside][known]
    if not apart.size:
        return Likeness(multiple, within_bpm, 0.0, 0.0, np.inf)
    moved = apart + multiple * np.array(ELSEWHERE_PER_MIN)[:, np.newaxis]
    return Likeness(
        multiple=multiple,
        within_bpm=within_bpm,
        share=float(np.mean(np.abs(apart) <= within_bpm)),
        chance=float(np.mean(np.abs(moved) <= within_bpm)),
        distance_bpm=float(np.mean(np.abs(apart))),
    )


def _believed(view: View, span: Span, likeness: Likeness) -> bool:
    error = view.error_bpm[slice(*span)]
    spread = np.nanmean(np.abs(error - np.nanmedian(error)))
    return bool(
        likeness.share >= max(LEAST_SHARE, LEAST_RATIO * likeness.chance)
        and likeness.distance_bpm <= spread + MARGIN_BPM
    )


def cadence_at(
    seconds: np.ndarray,
    channels: pd.DataFrame,
    clock: ClockDecision | None,
    longest_gap_s: float,
) -> np.ndarray | None:
    """Steps or turns a minute at each of `seconds`, shape (n,), NaN where missing; None if the
    recording (under CHANNELS) has none at all.

    Its times are set by `clock`, a drift included; None leaves them as they are. Samples without
    a usable heart rate still tell the cadence.
    """
    known = channels.dropna(subset=["time", "cadence_per_min"])
    if known.empty:
        return None
    cadence = Trace(epoch_seconds(known["time"]), known["cadence_per_min"].to_numpy())
    if clock is not None:
        cadence = cadence.shifted(clock.offsets(cadence.time_s))
    return cadence.at(seconds, longest_gap_s)
