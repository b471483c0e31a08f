"""Where a device leaves the strap and where it rejoins it, whatever it does in between."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from strapline.method.episodes.level import jumps, without_jumps
from strapline.method.episodes.spans import Span, hysteresis, spans_of, within
from strapline.method.episodes.view import View

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes


def off_track(view: View, settings: Episodes) -> list[Span]:
    """Spans of any length, apart from one another, in order of time.

    One begins and ends where the error passes `leave_bpm`, low or high, and somewhere reaches
    `enter_bpm`; a return of at most `bridge_s` does not end it. A jump neither begins one nor makes
    it reach that, but is one by itself. On average the error without its sign is at least
    `leave_bpm`.
    """
    size = np.abs(without_jumps(view, settings).error_bpm)
    found = hysteresis(size, settings.enter_bpm, settings.leave_bpm, settings.bridge_s)
    kept = [span for span in found if np.nanmean(size[slice(*span)]) >= settings.leave_bpm]
    return spans_of(within([*kept, *jumps(view, settings)], view.length))
