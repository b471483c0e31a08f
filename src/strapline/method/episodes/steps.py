"""Where a level that is too low or too high steps to another, much larger or smaller."""

from __future__ import annotations

import numpy as np
import pandas as pd

from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span

# A level lasts so long, and another is so far from it, and at least twice as far from the reference
# as the nearer of both.
LEVEL_S = 60
STEP_BPM = 15.0
# Within so many seconds it makes most of its step.
ABRUPT_S, ABRUPT_SHARE = 10, 0.7


def levels(view: View, span: Span) -> list[tuple[Span, float]]:
    """The parts of `span` between its steps, with the median error of each."""
    start, end = span
    error = pd.Series(view.error_bpm[start:end]).interpolate(limit_direction="both").to_numpy()
    edges = [0]
    for place in _steps(error):
        if place - edges[-1] >= LEVEL_S:
            edges.append(_sharpest(error, place))
    parts = zip(edges, [*edges[1:], error.size], strict=True)
    return [((start + a, start + b), float(np.median(error[a:b]))) for a, b in parts]


def _steps(error: np.ndarray) -> list[int]:
    """The seconds about which the median of a minute steps abruptly, a minute from either end."""
    places = np.arange(LEVEL_S, error.size - LEVEL_S + 1)
    if not places.size:
        return []
    medians = pd.Series(error).rolling(LEVEL_S).median().to_numpy()
    before, after = medians[places - 1], medians[places + LEVEL_S - 1]
    risen = error[np.minimum(places + ABRUPT_S, error.size - 1)] - error[places - ABRUPT_S]
    abrupt = np.abs(risen) >= ABRUPT_SHARE * np.abs(after - before)
    found: list[int] = places[abrupt & is_step(before, after)].tolist()
    return found


def is_step(one: np.ndarray | float, other: np.ndarray | float) -> np.ndarray:
    """Whether two errors are on levels of their own; shapes alike."""
    nearer = np.minimum(np.abs(one), np.abs(other))
    return np.asarray(np.abs(np.subtract(one, other)) >= np.maximum(STEP_BPM, nearer))


def _sharpest(error: np.ndarray, place: int) -> int:
    """The second about `place` at which it changes most."""
    first = place - ABRUPT_S
    changes = np.abs(np.diff(error[first - 1 : place + ABRUPT_S + 1]))
    return first + int(np.argmax(changes))
