"""Where the time that a report stands for lies: after its stamp, around it or before it.

Some devices write a mean at the first second of its time, others at the last. This is decided here
and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from strapline.ground.records.card import FILE_NAME, Stamp
from strapline.method.signal.spacing import LATE

if TYPE_CHECKING:
    from strapline.method.signal.clocks.pair import Pair

# Reports closer together stand for hardly more than their moment.
SHORTEST_S = 5.0
# One place is told from another where it leaves so much less spread, over so many reports at least.
CLEARLY, FEWEST_REPORTS = 0.8, 10
# By chance no place leaves less than this share of what the device itself spreads.
RELATED = 0.5
# No sensor is ahead of the heart; by so much its clock may be, where something settles it and where
# nothing does.
SETTLED_S, UNSETTLED_S = 1.5, 3.0

# The middle of the time, in shares of it from the stamp.
_MIDDLES: dict[Stamp, float] = {"end": -0.5, "middle": 0.0, "start": 0.5}
_LIES: dict[Stamp, str] = {"start": "after", "middle": "around", "end": "before"}


@dataclass(frozen=True)
class Placed:
    """A pair whose device has each report in its place, `shift_s` later than it is stamped, and
    what there is to say of that."""

    pair: Pair
    shift_s: float = 0.0
    said: str = ""


def placed(pair: Pair, offset_s: np.ndarray | float, is_settled: bool) -> Placed:
    """By what is stated of the recording; else by the strap, the device's clock being set by
    `offset_s`; else as common practice has it.

    A report that is compared as a whole is in its place at the end of its time, and one between
    which and the next a line is drawn in the middle.
    """
    device, stated = pair.device, pair.entry.stamp
    every_s = device.spacing.usual_s
    if every_s < SHORTEST_S or not pair.reference.time_s.size:
        return Placed(pair)
    fits = _Fits(pair, offset_s)
    if stated is None and not device.spacing.by_line and fits.are_moments:
        said = (
            f"Its reports, one every {every_s:.0f} s, agree with the strap far better at one "
            "moment each than over any time, and are taken for moments."
        )
        return Placed(replace(pair, device=replace(device, of_moments=True)), said=said)
    usual: Stamp = "middle" if device.spacing.by_line else "end"
    found = stated or fits.stamp(usual, SETTLED_S if is_settled else UNSETTLED_S)
    shift_s = (_MIDDLES[found or usual] - _MIDDLES[usual]) * every_s
    said = _said(found, usual, every_s, stated is not None)
    return Placed(replace(pair, device=device.shifted(shift_s)), shift_s, said)


def _said(found: Stamp | None, usual: Stamp, every_s: float, is_stated: bool) -> str:
    stands = f"the {every_s:.0f} s {_LIES[found or usual]} its time"
    if is_stated:
        return f"As is stated, each of its reports stands for {stands}."
    others = " or ".join(word for word in _LIES if word != (found or usual))
    remedy = f"If that is wrong, state stamp: {others} beside its file in {FILE_NAME}."
    if found == usual:
        return (
            "" if usual == "middle" else f"By the strap, each of its reports stands for {stands}."
        )
    if found is not None:
        return f"By the strap, each of its reports stands for {stands}. {remedy}"
    if usual == "end":
        return f"Each of its reports is taken for {stands}, as nothing tells. {remedy}"
    return ""


class _Fits:
    """How far device and strap are apart, but for a constant, by where a report's time lies."""

    def __init__(self, pair: Pair, offset_s: np.ndarray | float) -> None:
        self._device, self._reference = pair.device, pair.reference
        self._time_s = pair.device.time_s + offset_s
        self._longest_gap_s, self._largest_lag_s = pair.longest_gap_s, pair.alignment.largest_lag_s

    @property
    def are_moments(self) -> bool:
        """Whether reports are far nearer to the strap at one moment than over any time."""
        lags = np.arange(-self._largest_lag_s, UNSETTLED_S + 1)
        return self._least(lags, self._at) < CLEARLY * self._least(self._middles, self._over)

    def stamp(self, usual: Stamp, ahead_s: float) -> Stamp | None:
        """The first place, from the usual one on, at which the device is not ahead of the strap, if
        that is clearly better than others; None where nothing tells."""
        spacing = self._device.spacing
        if spacing.largest_s > LATE * spacing.usual_s:
            return None
        spread = {middle: self._spread(middle, self._over) for middle in self._middles}
        best = min(spread, key=lambda middle: spread[middle])
        if not spread[best] < RELATED * _spread(self._device.rate):
            return None
        usual_s = _MIDDLES[usual] * spacing.usual_s
        if best <= usual_s + ahead_s:
            elsewhere = (share * spacing.usual_s for w, share in _MIDDLES.items() if w != usual)
            others = [self._spread(middle, self._over) for middle in elsewhere]
            return usual if spread[best] < CLEARLY * min(others) else None
        allowed = [s for middle, s in spread.items() if middle <= usual_s + ahead_s]
        if not spread[best] < CLEARLY * min(allowed, default=np.inf):
            return None
        fitting = (w for w, share in _MIDDLES.items() if best <= share * spacing.usual_s + ahead_s)
        return next(fitting, None)

    @property
    def _middles(self) -> np.ndarray:
        every_s = self._device.spacing.usual_s
        return np.arange(-every_s / 2 - self._largest_lag_s, every_s / 2 + UNSETTLED_S + 1)

    def _least(self, shifts_s: np.ndarray, strap: Callable[[float], np.ndarray]) -> float:
        return min(self._spread(shift_s, strap) for shift_s in shifts_s)

    def _spread(self, shift_s: float, strap: Callable[[float], np.ndarray]) -> float:
        return _spread(self._device.rate - strap(shift_s))

    def _at(self, shift_s: float) -> np.ndarray:
        return self._reference.at(self._time_s + shift_s, self._longest_gap_s)

    def _over(self, middle_s: float) -> np.ndarray:
        time = self._device.stands_for_s
        return self._reference.means_before(self._time_s + middle_s + time / 2, time)


def _spread(values: np.ndarray) -> float:
    """Mean distance from the median; infinite for too few."""
    known = values[np.isfinite(values)]
    if known.size < FEWEST_REPORTS:
        return np.inf
    return float(np.mean(np.abs(known - np.median(known))))
