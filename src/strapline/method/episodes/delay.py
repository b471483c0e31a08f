"""Where the device is where the heart was some seconds ago."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.episodes.spans import Span
from strapline.method.episodes.view import View
from strapline.method.signal.response import first_order
from strapline.method.signal.spacing import is_line

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

# A sensor is late by a delay, by smoothing, or by both; smoothing delays by its time constant.
DELAYS_S = np.arange(0, 41)
SMOOTHING_S = (0.0, 5.0, 10.0, 16.0, 24.0, 34.0)
# What is right just before and after must fit too: a jump is no delay.
MARGIN_S = 8
LARGEST_SHARE_LEFT = 0.4
LARGEST_LEFT_BPM = 4.0
# No delay shows what the heart has not been at: some noise aside, for some seconds.
BEYOND_BPM = 4.0
LONGEST_BEYOND_S = 3
RECENT_S = 15
# A sensor that sees only a share of every rise is low, not late, and one that overdoes it is
# high; by so much a delay may fit worse than they.
LOW_SHARES, HIGH_SHARES = (0.5, 1.0), (1.0, 1.5)
SLACK_BPM = 0.6


@dataclass(frozen=True)
class Delayed:
    """The delay that explains an error best, in s, and the mean absolute error without and
    with it, in bpm."""

    delay_s: int
    error_bpm: float
    left_bpm: float


def delayed(view: View, spans: list[Span], settings: Episodes) -> list[tuple[Span, Delayed]]:
    """Those of `spans`, in which the error is large, that a delay of at least `slow_s` explains.

    It explains a span if the reference so many seconds before, or smoothed over as many, leaves
    less than half of the error, also counting the seconds just before and after; and if the
    device shows nothing that the reference was not at within the last minute.
    """
    if not is_line(view.interval_s) or not spans or np.isnan(view.reference_bpm).all():
        return []
    late = [first_order(view.reference_bpm, tau_s) for tau_s in SMOOTHING_S]
    found = [(span, _best(view, span, late, settings)) for span in spans]
    return [
        (span, delay)
        for span, delay in found
        if delay is not None and _believed(view, span, delay, settings)
    ]


def _best(view: View, span: Span, late: list[np.ndarray], settings: Episodes) -> Delayed | None:
    """The delay that leaves least; None where the reference before is not known."""
    start, end = max(span[0] - MARGIN_S, 0), min(span[1] + MARGIN_S, view.length)
    with np.errstate(invalid="ignore"):
        fits = np.abs(view.error_bpm) < settings.leave_bpm
    fits[slice(*span)] = view.compared[slice(*span)]
    seconds = np.flatnonzero(fits[start:end]) + start
    source = np.maximum(seconds - DELAYS_S[:, np.newaxis], 0)
    left, delay_s = [], []
    for tau_s, reference in zip(SMOOTHING_S, late, strict=True):
        allowed = DELAYS_S + tau_s >= settings.slow_s
        left.append(np.abs(view.device_bpm[seconds] - reference[source[allowed]]).mean(axis=1))
        delay_s.append(DELAYS_S[allowed] + tau_s)
    all_left, all_delays = np.concatenate(left), np.concatenate(delay_s)
    if np.isnan(all_left).all():
        return None
    best = int(np.nanargmin(all_left))
    return Delayed(
        delay_s=round(all_delays[best]),
        error_bpm=float(np.nanmean(np.abs(view.error_bpm[slice(*span)]))),
        left_bpm=float(all_left[best]),
    )


def _believed(view: View, span: Span, found: Delayed, settings: Episodes) -> bool:
    history = view.reference_bpm[max(span[0] - found.delay_s, 0) : span[1]]
    limit = min(LARGEST_LEFT_BPM, LARGEST_SHARE_LEFT * found.error_bpm)
    return bool(
        found.left_bpm <= min(limit, _left_by_a_share(view, span) + SLACK_BPM)
        and _seconds_beyond(view, span, found.delay_s) <= LONGEST_BEYOND_S
        and np.nanmax(history) - np.nanmin(history) >= settings.enter_bpm
    )


def _seconds_beyond(view: View, span: Span, delay_s: int) -> int:
    """In how many seconds the device shows what the reference has not been at lately."""
    recent = np.arange(delay_s + RECENT_S)
    source = np.maximum(np.arange(*span)[:, np.newaxis] - recent, 0)
    history, device = view.reference_bpm[source], view.device_bpm[slice(*span)]
    with np.errstate(invalid="ignore"), warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        low, high = np.nanmin(history, axis=1), np.nanmax(history, axis=1)
        beyond = (device < low - BEYOND_BPM) | (device > high + BEYOND_BPM)
    return int(beyond.sum())


def _left_by_a_share(view: View, span: Span) -> float:
    """Mean absolute error, in bpm, after the best constant and share of the reference."""
    inside = np.flatnonzero(view.compared[slice(*span)]) + span[0]
    reference, device = view.reference_bpm[inside], view.device_bpm[inside]
    centred = reference - reference.mean()
    share = (centred @ device) / max(centred @ centred, 1e-9)
    is_low = np.median(device - reference) < 0
    fitted = np.clip(share, *(LOW_SHARES if is_low else HIGH_SHARES)) * centred
    return float(np.mean(np.abs(device - fitted - np.median(device - fitted))))
