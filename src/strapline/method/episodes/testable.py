"""Why a kind of episode could not be looked for: what was not looked for did not fail to occur."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.words import lasting
from strapline.method.episodes.cadence import LONGEST_INTERVAL_S
from strapline.method.episodes.level import SHARP_S
from strapline.method.episodes.view import View
from strapline.method.signal.spacing import LONGEST_LINE_S

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes


def without_cadence(view: View, settings: Episodes) -> str | None:
    if np.isnan(view.cadence_per_min[view.compared]).all():
        return "the files hold no cadence"
    return _sparse(view, LONGEST_INTERVAL_S)


def too_sparse_for_jumps(view: View, settings: Episodes) -> str | None:
    if view.shortest_s > settings.spike_longest_s:
        return f"it was read from a picture that shows nothing below {lasting(view.shortest_s)}"
    return _sparse(view, SHARP_S)


def too_steady_or_sparse(view: View, settings: Episodes) -> str | None:
    """A sensor that stands still shows nothing of it while the heart is steady."""
    return _too_steady(view, settings) or _sparse(view, LONGEST_INTERVAL_S)


def too_steady_for_lag(view: View, settings: Episodes) -> str | None:
    """Nor does one that is late; a line between reports will do."""
    return _too_steady(view, settings) or _sparse(view, LONGEST_LINE_S)


def _too_steady(view: View, settings: Episodes) -> str | None:
    rates = view.reference_bpm[view.compared]
    moved = np.max(rates) - np.min(rates) >= settings.enter_bpm
    return None if moved else "the heart rate hardly moved"


def _sparse(view: View, longest_s: float) -> str | None:
    if view.interval_s <= longest_s:
        return None
    return f"one of the two has a value only every {lasting(view.interval_s)}"


def not_testable(reasons: dict[str, str]) -> str | None:
    """What COURSES holds of the kinds that could not be looked for, key -> why."""
    return json.dumps(reasons) if reasons else None
