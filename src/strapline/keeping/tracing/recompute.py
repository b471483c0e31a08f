"""Every figure once more, by a short path of its own.

Nothing here uses the statistics that made the figures: a mistake in those must not repeat itself.
"""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

import numpy as np

LOCKED_S = 30
# What the order of a sum may change, in parts of the figure and for figures near 0.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Pairs:
    """Heart rates in bpm that were compared, shapes (n,), and how many pairs there would be had
    the device missed none."""

    reference: np.ndarray
    device: np.ndarray
    comparable: int


@dataclass(frozen=True)
class Near:
    """Within so many bpm, and within so many percent of the reference."""

    beats: float
    percent: float


def recomputed(pairs: Pairs, near: Near, wanted: Collection[str]) -> dict[str, float]:
    """Those of the wanted figures that pairs decide, by name; NaN where they decide none."""
    r, d = pairs.reference, pairs.device
    found = {}
    if "coverage" in wanted:
        found["coverage"] = 100 * r.size / pairs.comparable if pairs.comparable else np.nan
    with np.errstate(divide="ignore", invalid="ignore"):
        for name in PLAIN.keys() & wanted:
            found[name] = float(PLAIN[name](r, d)) if r.size else np.nan
        for name in WITHIN.keys() & wanted:
            found[name] = 100 * float(WITHIN[name](r, d, near).sum()) / r.size if r.size else np.nan
    return found


def first_lock(second: np.ndarray, reference: np.ndarray, device: np.ndarray, near: Near) -> float:
    """The first second of the first LOCKED_S in a row in which the device is near; NaN if none.

    Shapes (n,), over the seconds in which the reference could be compared; NaN where the device
    is missing.
    """
    near_enough = abs(device - reference) <= np.maximum(near.beats, reference * near.percent / 100)
    run = 0
    for place, inside in enumerate(near_enough.tolist()):
        run = run + 1 if inside else 0
        if run == LOCKED_S:
            return float(second[place - LOCKED_S + 1])
    return math.nan


def equal(published: float, again: float) -> bool:
    """Whether two ways to reckon a figure gave the same, or both gave none."""
    if math.isnan(published) or math.isnan(again):
        return math.isnan(published) and math.isnan(again)
    return math.isclose(published, again, rel_tol=ROUNDING, abs_tol=ROUNDING)


def not_equal(published: Mapping[str, float], again: Mapping[str, float]) -> list[str]:
    """Names of the published figures that `again` has otherwise."""
    return [n for n, v in published.items() if n in again and not equal(v, again[n])]


def _sd(e: np.ndarray) -> float:
    squares = float(((e - e.mean()) ** 2).sum())
    return (squares / (e.size - 1)) ** 0.5 if e.size > 1 else np.nan


def _percentile_95(sizes: np.ndarray) -> float:
    ordered = np.sort(sizes)
    below = int(0.95 * (sizes.size - 1))
    above = min(below + 1, sizes.size - 1)
    return float(
        ordered[below] + (0.95 * (sizes.size - 1) - below) * (ordered[above] - ordered[below])
    )


def _correlation(r: np.ndarray, d: np.ndarray) -> float:
    return float(np.corrcoef(r, d)[0, 1]) if r.std() > 0 and d.std() > 0 else np.nan


def _concordance(r: np.ndarray, d: np.ndarray) -> float:
    ((rr, rd), (_, dd)) = np.cov(r, d, bias=True)
    return float(2 * rd / (rr + dd + (r.mean() - d.mean()) ** 2))


def _slope(r: np.ndarray, d: np.ndarray) -> float:
    middle = (r + d) / 2
    if r.size < 3 or np.ptp(middle) == 0:
        return np.nan
    return float(np.polyfit(middle - middle.mean(), d - r, 1)[0])


Rule = Callable[[np.ndarray, np.ndarray], float]

PLAIN: dict[str, Rule] = {
    "mean_reference": lambda r, d: r.sum() / r.size,
    "mean_device": lambda r, d: d.sum() / d.size,
    "bias": lambda r, d: (d - r).sum() / r.size,
    "bias_percent": lambda r, d: 100 * (d.sum() - r.sum()) / r.sum(),
    "maximum_reference": lambda r, d: np.sort(r)[-1],
    "maximum_device": lambda r, d: np.sort(d)[-1],
    "maximum_difference": lambda r, d: np.sort(d)[-1] - np.sort(r)[-1],
    "maximum_difference_percent": lambda r, d: 100 * (np.sort(d)[-1] / np.sort(r)[-1] - 1),
    "sd_of_differences": lambda r, d: _sd(d - r),
    "limit_lower": lambda r, d: (d - r).mean() - 1.96 * _sd(d - r),
    "limit_upper": lambda r, d: (d - r).mean() + 1.96 * _sd(d - r),
    "mae": lambda r, d: abs(d - r).sum() / r.size,
    "rmse": lambda r, d: float(np.linalg.norm(d - r)) / r.size**0.5,
    "mape": lambda r, d: 100 * abs(d / r - 1).sum() / r.size if r.all() else np.nan,
    "absolute_error_p95": lambda r, d: _percentile_95(abs(d - r)),
    "pearson_r": _correlation,
    "concordance": _concordance,
    "proportional_slope": _slope,
}

WITHIN: dict[str, Callable[[np.ndarray, np.ndarray, Near], np.ndarray]] = {
    "within_beats": lambda r, d, near: abs(d - r) <= near.beats,
    "within_percent": lambda r, d, near: abs(d - r) <= r * near.percent / 100,
    "within_either": lambda r, d, near: (
        abs(d - r) <= np.maximum(near.beats, r * near.percent / 100)
    ),
}
