"""How far a device's clock is from the reference's, told from the heart rates alone.

What is told is the clock's error plus the sensor's own constant delay. From heart rate alone
the two cannot be separated: a clock that is 3 s behind and a sensor that shows everything 3 s
late write the same file.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeGuard

import numpy as np

from strapline.method.signal.clocks.likeness import Evidence, gather, smoothed, usual_level

# A sensor is late; it does not know what the heart will do.
LARGEST_LEAD_S = 3.0
RESAMPLES = 400
PERCENTILES = (2.5, 97.5)
# Over simulated sessions the bootstrap's 95 % interval covers the truth in some 80 %: it does not
# know how a sensor's error is spread in time. Widened by this it covers about 95 %.
WIDENED = 1.6
NEIGHBOURHOOD_S = 10
DECIMALS = 1
# A device nearer than `NEAR_BPM` has not plainly failed; then it should be within `CLOSE_BPM`.
NEAR_BPM = 8.0
CLOSE_BPM = 2.0
# What a sensor that is not close adds to the doubt beyond chance; from simulated sessions.
DOUBT_IF_NEVER_CLOSE_S = 2.0


Objection = Literal["edge of range", "not close", "several", "in doubt"]


@dataclass(frozen=True)
class Demands:
    """What is asked of an estimated offset before it may be applied.

    largest_doubt_s
        How far off the offset may be, by `OffsetSearch.doubt_s`.
    lowest_closeness
        Share of the seconds less than 8 bpm apart in which both are within 2 bpm. Traces of
        different workouts, and sensors that are slow or fade under load, drift through the
        distances between; a sensor that follows, or plainly fails, does not.
    smallest_lead
        Mean agreement above the best offset more than 10 s away. Resampling does not see that a
        pattern repeats, or that nothing changes: both tie.
    """

    largest_doubt_s: float = 1.6
    lowest_closeness: float = 0.75
    smallest_lead: float = 0.03

    def objection(self, found: OffsetSearch) -> Objection | None:
        """Why the offset may not be applied; None if it may."""
        if found.at_edge:
            return "edge of range"
        if found.closeness < self.lowest_closeness:
            return "not close"
        if found.lead < self.smallest_lead:
            return "several"
        return "in doubt" if found.doubt_s > self.largest_doubt_s else None

    def met_by(self, found: OffsetSearch | None) -> TypeGuard[OffsetSearch]:
        return found is not None and self.objection(found) is None


@dataclass(frozen=True)
class OffsetSearch:
    """The best offset found, in seconds to add to the device's times.

    offset_s, low_s, high_s
        Clock error and constant sensor delay together, with a 95 % interval. The interval tells
        chance only: what a failing sensor does alike all session long moves all three.
    closeness
        Share of the seconds less than 8 bpm apart in which both are within 2 bpm, after the
        shift and without their usual distance.
    lead
        How far the mean agreement (0 to 1) at the best offset stands above the best more than 10 s
        away.
    at_edge
        The best offset is at the end of the range searched: the true one may lie beyond.
    """

    offset_s: float
    low_s: float
    high_s: float
    closeness: float
    lead: float
    at_edge: bool

    @property
    def doubt_s(self) -> float:
        """Half the interval, and 2 s times the share of seconds that are not close.

        A slow or fading sensor draws the offset to its side in a way that chance does not show.
        """
        not_close = DOUBT_IF_NEVER_CLOSE_S * (1 - self.closeness)
        return (self.high_s - self.low_s) / 2 + not_close


def search_offset(
    reference: np.ndarray, device: np.ndarray, search_s: int, shortest_overlap_s: float
) -> OffsetSearch | None:
    """Find the offset at which most seconds agree; None where none can be found.

    `reference` and `device` are heart rates in bpm at the same seconds of their own clocks, one
    value a second, NaN where missing; shapes (n,) and (n + 2 * search_s,): the device's series
    starts `search_s` seconds earlier and ends as much later. None if no lag has
    `shortest_overlap_s` seconds in common, or all lags agree alike (nothing changes).

    Sub-second resolution comes from the parabola through the scores around the best. The
    interval is a percentile interval of a Bayesian bootstrap (Rubin 1981, from memory) over
    blocks of up to 60 s, so that neighbouring seconds stay together, widened by what simulated
    sessions show to be missing.
    """
    if reference.size == 0:
        return None
    evidence = gather(reference, device)
    scores = evidence.scores(np.ones((1, evidence.agreed.shape[0])))[0]
    usable = np.isfinite(scores)
    if not usable.any() or evidence.compared.sum(axis=0).max() < shortest_overlap_s:
        return None
    if search_s > 0 and np.ptp(scores[usable]) < 1e-9:
        return None
    best = int(np.argmax(scores))
    offset = search_s - float(_peaks(scores[np.newaxis])[0])
    low, high = _interval(search_s - _resampled_peaks(evidence), offset)
    apart = _apart(reference, device, search_s - offset)
    return OffsetSearch(
        offset_s=_rounded(offset),
        low_s=_rounded(low),
        high_s=_rounded(high),
        closeness=_closeness(apart, shortest_overlap_s),
        lead=float(scores[best] - _best_elsewhere(scores, best)),
        at_edge=search_s > 0 and best in np.flatnonzero(usable)[[0, -1]],
    )


def _interval(resampled: np.ndarray, offset: float) -> tuple[float, float]:
    low, high = np.percentile(resampled, PERCENTILES)
    return (
        offset - WIDENED * max(offset - float(low), 0.0),
        offset + WIDENED * max(float(high) - offset, 0.0),
    )


def _resampled_peaks(evidence: Evidence) -> np.ndarray:
    random = np.random.default_rng(0)
    weights = random.exponential(size=(RESAMPLES, evidence.agreed.shape[0]))
    return _peaks(evidence.scores(weights))


def _peaks(scores: np.ndarray) -> np.ndarray:
    """Index of the highest score of each row, refined by the parabola through five scores."""
    best = np.argmax(scores, axis=1)
    around = np.arange(-2, 3)
    lags = scores.shape[1]
    columns = best[:, np.newaxis] + around
    inside = (columns[:, 0] >= 0) & (columns[:, -1] < lags)
    five = np.take_along_axis(scores, np.clip(columns, 0, lags - 1), axis=1)
    inside &= np.isfinite(five).all(axis=1)
    five = np.where(inside[:, np.newaxis], five, 0.0)
    slope = five @ around / 10
    bend = five @ (around**2 - 2) / 14
    peaked = inside & (bend < 0)
    shift = np.clip(-slope / np.where(peaked, 2 * bend, 1), -1, 1)
    refined: np.ndarray = best + np.where(peaked, shift, 0.0)
    return refined


def _apart(reference: np.ndarray, device: np.ndarray, start: float) -> np.ndarray:
    """Differences of the smoothed rates where device[start] meets reference[0]."""
    at = start + np.arange(reference.size)
    shifted = np.interp(at, np.arange(device.size), smoothed(device))
    difference: np.ndarray = shifted - smoothed(reference)
    return difference


def _closeness(apart: np.ndarray, shortest_overlap_s: float) -> float:
    """Share of seconds within `CLOSE_BPM` among those within `NEAR_BPM`; 0 if these are few."""
    distance = np.abs(apart - usual_level(apart))
    near = distance < NEAR_BPM
    if near.sum() < shortest_overlap_s:
        return 0.0
    return float((distance[near] < CLOSE_BPM).mean())


def _best_elsewhere(scores: np.ndarray, best: int) -> float:
    elsewhere = np.abs(np.arange(scores.size) - best) > NEIGHBOURHOOD_S
    rivals = scores[elsewhere & np.isfinite(scores)]
    return float(rivals.max()) if rivals.size else 0.0


def _rounded(seconds: float) -> float:
    return float(round(float(seconds), DECIMALS)) + 0.0  # never a negative zero
