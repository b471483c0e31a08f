"""What the short paths stand on by which every figure is reckoned once more.

Nothing here, and no short path, uses what made the figures: a mistake in that must not repeat
itself.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

LOCKED_S = 30


@dataclass(frozen=True)
class InOrder:
    """The seconds in which the reference could be compared: when, and both sides in bpm, shapes
    (n,); NaN where the device is missing."""

    second: np.ndarray
    reference: np.ndarray
    device: np.ndarray


@dataclass(frozen=True)
class Pairs:
    """Heart rates in bpm that were compared, shapes (n,), and how many pairs there would be had
    the device missed none; the seconds in order for a whole session alone."""

    reference: np.ndarray
    device: np.ndarray
    comparable: int
    in_order: InOrder | None = None


@dataclass(frozen=True)
class Near:
    """Within so many bpm, and within so many percent of the reference."""

    beats: float
    percent: float


Again = Callable[[Pairs, Near], float]


def of_both(rule: Callable[[np.ndarray, np.ndarray], float]) -> Again:
    """A rule on the two sides; NaN without a pair."""
    return lambda p, near: float(rule(p.reference, p.device)) if p.reference.size else math.nan


def share_of(rule: Callable[[np.ndarray, np.ndarray, Near], np.ndarray]) -> Again:
    """In how many of a hundred pairs a rule holds; NaN without a pair."""

    def again(p: Pairs, near: Near) -> float:
        holds = rule(p.reference, p.device, near)
        return 100 * float(holds.sum()) / holds.size if holds.size else math.nan

    return again


def coverage(p: Pairs, near: Near) -> float:
    return 100 * p.reference.size / p.comparable if p.comparable else math.nan


def sd(e: np.ndarray) -> float:
    squares = float(((e - e.mean()) ** 2).sum())
    return (squares / (e.size - 1)) ** 0.5 if e.size > 1 else math.nan


def percentile_95(sizes: np.ndarray) -> float:
    ordered = np.sort(sizes)
    below = int(0.95 * (sizes.size - 1))
    above = min(below + 1, sizes.size - 1)
    return float(
        ordered[below] + (0.95 * (sizes.size - 1) - below) * (ordered[above] - ordered[below])
    )


def correlation(r: np.ndarray, d: np.ndarray) -> float:
    return float(np.corrcoef(r, d)[0, 1]) if r.std() > 0 and d.std() > 0 else math.nan


def concordance(r: np.ndarray, d: np.ndarray) -> float:
    ((rr, rd), (_, dd)) = np.cov(r, d, bias=True)
    return float(2 * rd / (rr + dd + (r.mean() - d.mean()) ** 2))


def slope(r: np.ndarray, d: np.ndarray) -> float:
    middle = (r + d) / 2
    if r.size < 3 or np.ptp(middle) == 0:
        return math.nan
    return float(np.polyfit(middle - middle.mean(), d - r, 1)[0])


def where_reached(
    rate: float, line: Callable[[np.ndarray, np.ndarray, float], float]
) -> Callable[[np.ndarray, np.ndarray], float]:
    """The line at a rate that is among the middle nine tenths of the means of both."""

    def rule(r: np.ndarray, d: np.ndarray) -> float:
        low, high = np.quantile((r + d) / 2, [0.05, 0.95])
        return line(r, d, rate) if low <= rate <= high else math.nan

    return rule


def bias_line(r: np.ndarray, d: np.ndarray, rate: float) -> float:
    middle = (r + d) / 2
    return float((d - r).mean() + slope(r, d) * (rate - middle.mean()))


def spread_line(r: np.ndarray, d: np.ndarray, rate: float) -> float:
    return max(_sizes_left(r, d, rate)[1], 0.0) * math.sqrt(math.pi / 2)


def spread_slope(r: np.ndarray, d: np.ndarray) -> float:
    return _sizes_left(r, d)[0] * math.sqrt(math.pi / 2)


def spread_about_line(r: np.ndarray, d: np.ndarray) -> float:
    return spread_line(r, d, float(((r + d) / 2).mean()))


def _sizes_left(r: np.ndarray, d: np.ndarray, rate: float = 0.0) -> tuple[float, float]:
    """Slope and level at a rate of the sizes of what the line of differences leaves."""
    middle = (r + d) / 2
    if np.isnan(along := slope(r, d)):
        return math.nan, math.nan
    left = np.abs(d - r - (d - r).mean() - along * (middle - middle.mean()))
    rising, level = np.polyfit(middle - rate, left, 1).tolist()
    return rising, level


def first_lock(p: Pairs, near: Near) -> float:
    """How long until the first LOCKED_S in a row in which the device is near; NaN if never."""
    if p.in_order is None:
        return math.nan
    reference = p.in_order.reference
    allowed = np.maximum(near.beats, reference * near.percent / 100)
    run = 0
    for place, inside in enumerate((abs(p.in_order.device - reference) <= allowed).tolist()):
        run = run + 1 if inside else 0
        if run == LOCKED_S:
            return float(p.in_order.second[place - LOCKED_S + 1] - p.in_order.second[0])
    return math.nan
