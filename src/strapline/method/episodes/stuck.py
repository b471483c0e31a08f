"""Where the device repeats one value while the heart goes on."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

FEWEST_REPORTS = 3
# A reading that moves slowly repeats itself too: it is stuck only where it repeats one value so
# many times as long as it does around there, by the time spent so.
USUAL_TIMES = 3
AROUND_S = 120
LONGEST_INTERVAL_S = 10
# A value kept so many times as long as it must be is told however near the error stays: no working
# sensor sits out for so long what the reference does meanwhile.
NEAR_TIMES = 3


def stuck(view: View, settings: Episodes) -> list[Span]:
    """Spans of one value for at least `stuck_s`, in which the reference moves by `enter_bpm`.

    The error must reach `enter_bpm` too, or the span last three times as long. Where reports are
    some seconds apart, three in a row must be equal; further apart they may well be. And it must
    stand out from how long the device keeps its values around there.
    """
    if view.interval_s > LONGEST_INTERVAL_S:
        return []
    value = np.where(view.compared, view.device_bpm, np.nan)
    moves = np.abs(np.diff(value, prepend=np.nan)) >= 1e-6
    begins = np.flatnonzero(moves | np.isnan(value) | np.isnan(np.roll(value, 1)))
    runs = [
        (start, end)
        for start, end in pairwise([*begins.tolist(), view.length])
        if not np.isnan(value[start])
    ]
    shortest = max(settings.stuck_s, FEWEST_REPORTS * view.interval_s)
    return [
        run
        for run in runs
        if run[1] - run[0] >= shortest
        and _sits_out(view, run, settings)
        and run[1] - run[0] >= USUAL_TIMES * _usual_s(run, runs)
    ]


def _usual_s(run: Span, runs: list[Span]) -> float:
    """How long values last around `run`, in s: half of the time there is spent in longer ones."""
    first, last = run[0] - AROUND_S, run[1] + AROUND_S
    near = sorted(e - s for s, e in runs if e > first and s < last and (s, e) != run)
    if not near:
        return 0.0
    spent = np.cumsum(near)
    return float(near[int(np.searchsorted(spent, spent[-1] / 2))])


def _sits_out(view: View, span: Span, settings: Episodes) -> bool:
    moved, error = np.ptp(view.reference_bpm[slice(*span)]), view.error_bpm[slice(*span)]
    is_long = span[1] - span[0] >= NEAR_TIMES * settings.stuck_s
    return bool(
        moved >= settings.enter_bpm and (is_long or np.abs(error).max() >= settings.enter_bpm)
    )
