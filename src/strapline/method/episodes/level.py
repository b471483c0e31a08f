"""Where the error is too large for too long: off track, read low, read high, or a spike."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.method.episodes.view import View
from strapline.method.signal.spans import Span, hysteresis, spans_of, within

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes


# A spike is sharp: by this share of its height it rises within so many seconds.
SHARP_SHARE = 0.6
SHARP_S = 3
LEVEL_S = 40
# Several kinds ask the same of a view, and of what others leave of it.
LATELY = 2
# Below a minute, or where the heart hardly moves, a share and a number of beats are the same.
SHORTEST_S = 60
MOVED_BPM = 20.0
# So much of the error is left at most, with the share taken out.
LARGEST_SHARE_LEFT = 0.2


@lru_cache(maxsize=LATELY)
def away(view: View, settings: Episodes) -> tuple[tuple[Span, ...], tuple[Span, ...]]:
    """Spans of any length in which the device is low, and in which it is high.

    A span begins and ends where the error passes `leave_bpm` and somewhere reaches `enter_bpm`;
    a return of at most `bridge_s` seconds does not end it, but on average the error in it is at
    least `leave_bpm`. Low and high spans do not overlap.
    """
    demands = settings.enter_bpm, settings.leave_bpm, settings.bridge_s
    error = view.error_bpm
    high = hysteresis(error, *demands)
    low_level = -error
    for start, end in high:
        low_level[start:end] = np.nan
    low = [piece for span in hysteresis(low_level, *demands) for piece in _outside(span, high)]
    return (
        tuple(span for span in low if _mean(-error, span) >= settings.leave_bpm),
        tuple(span for span in high if _mean(error, span) >= settings.leave_bpm),
    )


def _mean(error: np.ndarray, span: Span) -> float:
    known = error[slice(*span)]
    known = known[~np.isnan(known)]
    return float(known.mean()) if known.size else 0.0


def is_spike(view: View, span: Span, settings: Episodes) -> bool:
    """Whether the error in `span` is short, high and begins or ends abruptly."""
    start, end = span
    if end - start > settings.spike_longest_s or view.interval_s > SHARP_S:
        return False
    error = np.abs(view.error_bpm[start:end])
    peak = float(np.nanmax(error))
    steepest = _steepest(view.error_bpm, start, end)
    return peak >= settings.spike_bpm and steepest >= SHARP_SHARE * peak


def _steepest(error: np.ndarray, start: int, end: int) -> float:
    """The largest step over `SHARP_S` from as long before `start` to as long after `end`."""
    around = error[max(start - SHARP_S, 0) : end + SHARP_S]
    steps = np.abs(around[SHARP_S:] - around[:-SHARP_S])
    return float(np.nanmax(steps)) if np.isfinite(steps).any() else 0.0


@lru_cache(maxsize=LATELY)
def jumps(view: View, settings: Episodes) -> tuple[Span, ...]:
    """Spikes against the level that the error has around them, on track and off it.

    One stands out to one side of the level before it and of that after it, each the median over
    40 s, and begins and ends abruptly: a level that ends is no spike, nor is what goes
    towards the reference and no further.
    """
    if view.interval_s > SHARP_S:
        return ()
    error = view.error_bpm
    over_before, over_after = error - _level(error), error - _level(error[::-1])[::-1]
    nearer = np.where(np.abs(over_before) < np.abs(over_after), over_before, over_after)
    stands_out = np.where(over_before * over_after > 0, nearer, np.where(view.compared, 0, np.nan))
    found = hysteresis(np.abs(stands_out), settings.spike_bpm, settings.spike_bpm / 2, 1)
    beyond = error * np.sign(stands_out)
    return tuple(
        span
        for span in found
        if span[1] - span[0] <= settings.spike_longest_s
        and np.nanmax(beyond[slice(*span)]) > settings.enter_bpm
        and min(_steepest(error, end, end) for end in span)
        >= SHARP_SHARE * np.nanmax(np.abs(stands_out[slice(*span)]))
    )


def without_jumps(view: View, settings: Episodes) -> View:
    """The view with lines in place of its jumps."""
    jumped = within(jumps(view, settings), view.length)
    known = np.flatnonzero(view.compared & ~jumped)
    if not jumped.any() or not known.size:
        return view
    calm = np.interp(np.flatnonzero(jumped), known, view.error_bpm[known])
    device_bpm = view.device_bpm.copy()
    device_bpm[jumped] = view.reference_bpm[jumped] + calm
    return replace(view, device_bpm=device_bpm)


def _level(error: np.ndarray) -> np.ndarray:
    """The level up to each second, shape (n,)."""
    return pd.Series(error).rolling(LEVEL_S, min_periods=SHARP_S).median().to_numpy()


def _outside(span: Span, others: list[Span]) -> list[Span]:
    """The parts of `span` that none of `others` (ascending, apart) covers."""
    parts, start = [], span[0]
    for first, last in others:
        if first < span[1] and last > start:
            if first > start:
                parts.append((start, first))
            start = last
    return [*parts, (start, span[1])] if start < span[1] else parts


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


def in_step_percent(view: View, span: Span) -> float:
    """By what percent of the reference the device is off in `span`; NaN where no one share holds.

    The share must explain the error, and better than so many beats would.
    """
    inside = slice(*span)
    known = view.compared[inside]
    reference, device = view.reference_bpm[inside][known], view.device_bpm[inside][known]
    if reference.size < SHORTEST_S or np.ptp(reference) < MOVED_BPM:
        return np.nan
    share = device.mean() / reference.mean()
    error = device - reference
    left = np.abs(device - share * reference).mean()
    left_by_beats = np.abs(error - error.mean()).mean()
    holds = left <= LARGEST_SHARE_LEFT * np.abs(error).mean() and left < left_by_beats
    return float(100 * (share - 1)) if holds else np.nan
