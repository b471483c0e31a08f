"""Where the device is where the heart was some seconds ago."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from strapline.method.episodes.level import LATELY
from strapline.method.episodes.view import View
from strapline.method.signal.response_fit import first_order
from strapline.method.signal.spacing import is_line
from strapline.method.signal.spans import Span, lies_in, within

if TYPE_CHECKING:
    from strapline.ground.settings import Episodes

# A sensor is late by a delay, by smoothing, or by both; smoothing delays by its time constant.
DELAYS_S = np.arange(0, 41)
SMOOTHING_S = (0.0, 5.0, 10.0, 16.0, 24.0, 34.0)
TOTAL_S = np.add.outer(SMOOTHING_S, DELAYS_S)
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
# Of what is as short, on one side, a delay that was not measured explains most, or leaves no more
# than so many times the usual error on track by the share that it explains: the rarer, the better
# it must fit.
AS_SHORT, USUAL = 2, 3.0


@dataclass(frozen=True)
class Delayed:
    """The delay that explains an error best, in s, and the mean absolute error without and
    with it, in bpm; whether it was measured over the session."""

    delay_s: int
    error_bpm: float
    left_bpm: float
    measured: bool


def delayed(
    view: View,
    spans: Sequence[Span],
    sides: tuple[Sequence[Span], Sequence[Span]],
    settings: Episodes,
) -> list[tuple[Span, Delayed]]:
    """Those of `spans` and of `sides`, where it is low and where it is high, that a delay of at
    least `slow_s` explains.

    A delay is so many seconds, or smoothing over as many, or both, and fits a span no worse than a
    sensor would that sees a share of each change. One that was measured over the session explains
    it if it takes away the larger part of the error. Any other must leave less than 0.4 of it, also
    counting the seconds just before and after, and the device must show nothing that the reference
    was not at within the last minute. It is not believed of one span where most of what is like it
    has no delay.
    """
    if not is_line(view.interval_s) or not spans or np.isnan(view.reference_bpm).all():
        return []
    tried = {span: _delay(view, span, settings) for side in (spans, *sides) for span in side}
    usual_bpm = _usual_bpm(view, spans)
    doubted = [span for side in sides for span in _doubted(side, tried, usual_bpm)]
    return [
        (span, delay)
        for span, delay in tried.items()
        if delay is not None
        and (delay.measured or not any(lies_in(each, span) for each in doubted))
    ]


def _doubted(
    side: Sequence[Span], tried: dict[Span, Delayed | None], usual_bpm: float
) -> Iterator[Span]:
    """The spans of one side of which a delay is not believed unless it was measured."""
    length_s = {span: span[1] - span[0] for span in side}
    longest_s = max((length_s[span] for span in side if tried[span]), default=0)
    alike = [span for span in side if length_s[span] <= AS_SHORT * longest_s]
    all_s = sum(length_s[span] for span in alike)
    late_s = sum(length_s[span] for span in alike if tried[span])
    for span in alike if 2 * late_s < all_s else ():
        delay = tried[span]
        if delay is None or delay.left_bpm > USUAL * usual_bpm * late_s / all_s:
            yield span


def _usual_bpm(view: View, spans: Sequence[Span]) -> float:
    """The mean absolute error on track; 0 where it never is."""
    error = np.abs(view.error_bpm[view.compared & ~within(spans, view.length)])
    return float(error.mean()) if error.size else 0.0


def measured_delay(view: View, span: Span, least_s: int = 0) -> Delayed | None:
    """What the delay that was measured over the session leaves of the error in `span`; None where
    none of at least `least_s` was, or the reference before is not known."""
    seconds = np.flatnonzero(view.compared[slice(*span)]) + span[0]
    left = _left_by_each(view, seconds)
    among = _measured(view, span) & (least_s <= TOTAL_S) & ~np.isnan(left)
    if not among.any():
        return None
    left = np.where(among, left, np.inf)
    error_bpm = float(np.abs(view.error_bpm[seconds]).mean())
    return Delayed(round(TOTAL_S.flat[np.argmin(left)]), error_bpm, float(left.min()), True)


def _delay(view: View, span: Span, settings: Episodes) -> Delayed | None:
    """What explains `span`: the measured delay, or else the one that leaves least."""
    by_a_share = _left_by_a_share(view, span)
    own = measured_delay(view, span, settings.slow_s)
    if own and own.left_bpm < min(own.error_bpm / 2, by_a_share + SLACK_BPM):
        return replace(own, measured=own.left_bpm <= by_a_share)

    left = _left_by_each(view, _with_margins(view, span, settings))
    left[(settings.slow_s > TOTAL_S) | np.isnan(left)] = np.inf
    left_bpm, delay_s = float(left.min()), round(TOTAL_S.flat[np.argmin(left)])
    error_bpm = float(np.nanmean(np.abs(view.error_bpm[slice(*span)])))
    most_bpm = min(LARGEST_LEFT_BPM, LARGEST_SHARE_LEFT * error_bpm)
    fits = left_bpm <= min(most_bpm, by_a_share + SLACK_BPM)
    if fits and _could_be(view, span, delay_s, settings):
        return Delayed(delay_s, error_bpm, left_bpm, measured=False)
    return None


def _measured(view: View, span: Span) -> np.ndarray:
    """Which delays are those measured over the session, at errors of the sign that is here."""
    sign = np.sign(np.nanmean(view.error_bpm[slice(*span)]))
    told = [ends for of, ends in view.delays_s.items() if of in (0, sign)]
    among = np.zeros(TOTAL_S.shape, dtype=bool)
    for low_s, high_s in told:
        among |= (low_s <= TOTAL_S) & (high_s >= TOTAL_S)
    return among


def _with_margins(view: View, span: Span, settings: Episodes) -> np.ndarray:
    """The seconds compared in `span`, and those just before and after that are right."""
    start, end = max(span[0] - MARGIN_S, 0), min(span[1] + MARGIN_S, view.length)
    with np.errstate(invalid="ignore"):
        fits = np.abs(view.error_bpm) < settings.leave_bpm
    fits[slice(*span)] = view.compared[slice(*span)]
    seconds: np.ndarray = np.flatnonzero(fits[start:end]) + start
    return seconds


def _left_by_each(view: View, seconds: np.ndarray) -> np.ndarray:
    """Mean absolute error at `seconds` that each smoothing and shift leaves, in bpm; NaN where the
    reference before is not known."""
    source = np.maximum(seconds - DELAYS_S[:, np.newaxis], 0)
    device = view.device_bpm[seconds]
    return np.array([np.abs(device - each[source]).mean(axis=1) for each in _smoothed(view)])


@lru_cache(maxsize=LATELY)
def _smoothed(view: View) -> tuple[np.ndarray, ...]:
    """The reference as each smoothing would have it."""
    return tuple(first_order(view.reference_bpm, tau_s) for tau_s in SMOOTHING_S)


def _could_be(view: View, span: Span, delay_s: int, settings: Episodes) -> bool:
    """Whether the reference moved by enough, and had been nearly wherever the device is."""
    history = view.reference_bpm[max(span[0] - delay_s, 0) : span[1]]
    moved = np.nanmax(history) - np.nanmin(history) >= settings.enter_bpm
    return bool(moved and _seconds_beyond(view, span, delay_s) <= LONGEST_BEYOND_S)


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
