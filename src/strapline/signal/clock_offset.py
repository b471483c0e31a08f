"""How far a device's clock is from the reference's, told from the heart rates alone."""

from dataclasses import dataclass

import numpy as np

# Correlating changes over some seconds, clipped, rather than the rates themselves, keeps a
# sensor that reads low for most of a session from dragging the clock.
CHANGE_OVER_S = 10
SMOOTH_S = 5
CLIP_BPM = 12.0
NEIGHBOURHOOD_S = 10


@dataclass(frozen=True)
class OffsetSearch:
    """The best offset found, in seconds to add to the device's times.

    correlation is that of the changes in heart rate at the best offset; lead is how far it
    stands above the best rival more than 10 s away; at_edge tells that the best offset is at
    the end of the range searched, so that the true one may lie beyond.
    """

    offset_s: float
    correlation: float
    lead: float
    at_edge: bool


def search_offset(
    reference: np.ndarray, device: np.ndarray, search_s: int, shortest_overlap_s: float
) -> OffsetSearch | None:
    """Find the offset by bounded cross-correlation of changes; None where none can be found.

    `reference` and `device` are heart rates in bpm at the same seconds of their own clocks, one
    value a second, NaN where missing; shapes (n,) and (n + 2 * search_s,): the device's series
    starts `search_s` seconds earlier and ends as much later. Sub-second resolution comes from
    the parabola through the best correlation and its two neighbours.
    """
    wanted, found = _changes(reference), _changes(device)
    lags = np.arange(-search_s, search_s + 1)
    length = reference.size
    scores = np.array(
        [
            _correlation(wanted, found[start : start + length], shortest_overlap_s)
            for start in range(lags.size)
        ]
    )
    if np.isnan(scores).all():
        return None
    best = int(np.nanargmax(scores))
    at_edge = lags.size > 1 and best in (0, lags.size - 1)
    shift = 0.0 if at_edge else _vertex(scores[best - 1 : best + 2])
    return OffsetSearch(
        offset_s=-float(lags[best] + shift),
        correlation=float(scores[best]),
        lead=float(scores[best] - _best_rival(scores, best)),
        at_edge=at_edge,
    )


def _changes(rate: np.ndarray) -> np.ndarray:
    """Clipped change of the smoothed rate over some seconds; NaN where a value is missing."""
    changes = np.full(rate.shape, np.nan)
    reach = (SMOOTH_S + CHANGE_OVER_S) // 2
    if rate.size > 2 * reach:
        smooth = np.convolve(rate, np.full(SMOOTH_S, 1 / SMOOTH_S), mode="valid")
        changes[reach:-reach] = smooth[CHANGE_OVER_S:] - smooth[:-CHANGE_OVER_S]
    return changes.clip(-CLIP_BPM, CLIP_BPM)


def _correlation(first: np.ndarray, second: np.ndarray, shortest: float) -> float:
    both = ~(np.isnan(first) | np.isnan(second))
    if both.sum() < shortest:
        return np.nan
    a, b = first[both] - first[both].mean(), second[both] - second[both].mean()
    scale = np.sqrt((a @ a) * (b @ b))
    return float(a @ b / scale) if scale > 0 else np.nan


def _vertex(three: np.ndarray) -> float:
    """Where the parabola through values at -1, 0 and 1 peaks; 0 where it has no peak."""
    left, middle, right = three
    bend = left - 2 * middle + right
    if np.isnan(bend) or bend >= 0:
        return 0.0
    return float(np.clip((left - right) / (2 * bend), -0.5, 0.5))


def _best_rival(scores: np.ndarray, best: int) -> float:
    """The highest local peak outside the best one's neighbourhood; 0 where there is none."""
    padded = np.concatenate([[-np.inf], np.nan_to_num(scores, nan=-np.inf), [-np.inf]])
    peak = (padded[1:-1] >= padded[:-2]) & (padded[1:-1] >= padded[2:])
    elsewhere = np.abs(np.arange(scores.size) - best) > NEIGHBOURHOOD_S
    rivals = scores[peak & elsewhere & ~np.isnan(scores)]
    return float(max(rivals.max(), 0.0)) if rivals.size else 0.0
