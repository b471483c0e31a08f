"""Where the device repeats one value while the heart goes on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.method.episodes.spans import Span, spans_of
from strapline.method.episodes.view import View

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

FEWEST_REPORTS = 3
LONGEST_INTERVAL_S = 10


def stuck(view: View, settings: Episodes) -> list[Span]:
    """Spans of one value for at least `stuck_s`, in which the reference moves away from it.

    The reference must move by `enter_bpm` within the span, which no working sensor's value
    would sit out, and the error must reach `enter_bpm` too. Where reports are some
    seconds apart, three in a row must be equal; further apart they may well be.
    """
    if view.interval_s > LONGEST_INTERVAL_S:
        return []
    value = np.where(view.compared, view.device_bpm, np.nan)
    same = np.abs(np.diff(value, prepend=np.nan)) < 1e-6
    shortest = max(settings.stuck_s, FEWEST_REPORTS * view.interval_s)
    return [
        (start - 1, end)
        for start, end in spans_of(same)
        if end - start + 1 >= shortest and _left_behind(view, (start - 1, end), settings.enter_bpm)
    ]


def _left_behind(view: View, span: Span, bpm: float) -> bool:
    start, end = span
    moved = np.ptp(view.reference_bpm[start:end])
    return bool(moved >= bpm and np.abs(view.error_bpm[start:end]).max() >= bpm)
