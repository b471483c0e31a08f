"""How well two heart rates agree at each lag, second by second, whatever else went wrong.

A wrist sensor that fails reads something else, not something near. So agreement is counted, not
distance summed: each second gives a bounded amount, as in Welsch's robust estimator (Holland
and Welsch 1977, from memory), and a failing second gives next to nothing at any lag. The sizes
of the constants are our own choice, settled on simulated sessions (tests/benchmarks).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from scipy.ndimage import correlate1d

from strapline.method.signal.grid import changes_over

SMOOTH_S = 5
# Seconds over which changes must agree, and by how much they may differ.
CHANGES_OVER_S = (8, 20)
CHANGE_BPM = 3.0
# Agreeing in level too counts for more, once the usual distance between the two is taken off.
LEVEL_BPM = 2.5
LEVEL_WEIGHT = 2.0
FARTHEST_LEVEL_BPM = 15
EXPECTED_LEVEL_BPM = 8.0
STEP_S = 2
# All at once would fill the memory.
LAGS_AT_ONCE = 32
BLOCK_S = 60
FEWEST_BLOCKS = 12
SHORTEST_BLOCK_S = 20
LEAST_SHARE_OF_OVERLAP = 0.5


@dataclass(frozen=True)
class Evidence:
    """Agreement by block of time and lag.

    agreed
        Sum of agreement (0 to 1 a second) over the seconds of a block, shape (blocks, lags).
    compared
        Number of those seconds, same shape.
    """

    agreed: np.ndarray
    compared: np.ndarray

    def scores(self, weights: np.ndarray) -> np.ndarray:
        """Mean agreement by lag for weights of the blocks, shapes (m, blocks) -> (m, lags).

        Lags with less than half of the largest overlap score minus infinity: a mean over few
        seconds is easily high.
        """
        overlap = self.compared.sum(axis=0)
        allowed = overlap >= max(LEAST_SHARE_OF_OVERLAP * overlap.max(), 1)
        compared = weights @ self.compared
        share = (weights @ self.agreed) / np.maximum(compared, 1e-9)
        scores: np.ndarray = np.where(allowed & (compared > 0), share, -np.inf)
        return scores


def gather(reference: np.ndarray, device: np.ndarray) -> Evidence:
    """Evidence at every lag that the device's longer series allows.

    `reference` and `device` are heart rates in bpm, one value a second, NaN where missing;
    shapes (n,) and (n + lags - 1,). At lag index k, device[k + t] is set against reference[t].
    """
    length = reference.size
    starts = _block_starts(length)
    wanted, found = smoothed(reference)[::STEP_S], smoothed(device)
    agreed, compared = [], []
    lags = sliding_window_view(found, length)[:, ::STEP_S]
    for some in range(0, len(lags), LAGS_AT_ONCE):
        agreement = agreement_of(lags[some : some + LAGS_AT_ONCE] - wanted)
        known = ~np.isnan(agreement)
        agreed.append(np.add.reduceat(np.where(known, agreement, 0.0), starts, axis=1))
        compared.append(np.add.reduceat(known.astype(float), starts, axis=1))
    return Evidence(STEP_S * np.concatenate(agreed).T, STEP_S * np.concatenate(compared).T)


def agreement_of(apart: np.ndarray) -> np.ndarray:
    """Agreement, 0 to 1, of each of a series of differences, in bpm and `STEP_S` apart, shape
    (…, n).

    NaN where a difference is missing, or one of those it is seen to change from or to.
    """
    unlike = np.zeros(apart.shape)
    for over_s in CHANGES_OVER_S:
        unlike += (changes_over(apart, over_s // STEP_S) / CHANGE_BPM) ** 2
    level = (apart - usual_level(apart)[..., np.newaxis]) / LEVEL_BPM
    weighed = 1 + LEVEL_WEIGHT * np.exp(-(level**2) / 2)
    agreement: np.ndarray = np.exp(-unlike / 2) * weighed / (1 + LEVEL_WEIGHT)
    return agreement


def usual_level(apart: np.ndarray) -> np.ndarray:
    """The most frequent difference of each series, in whole bpm within ±14; smaller ones are
    likelier, and it is 0 where there is none. Shapes (…, n) and (…).

    The mode, since a mean or median is drawn by whatever part of a session failed.
    """
    levels = np.arange(-FARTHEST_LEVEL_BPM, FARTHEST_LEVEL_BPM + 1)
    series = apart.reshape(math.prod(apart.shape[:-1]), apart.shape[-1])
    # What is missing or too far off goes to the two ends, which do not count.
    inside = np.fmin(np.fmax(series, levels[0]), levels[-1])
    place = np.rint(inside, out=inside).astype(int) - levels[0]
    place += levels.size * np.arange(len(series))[:, np.newaxis]
    counts = np.bincount(place.ravel(), minlength=len(series) * levels.size)
    counts = counts.reshape(-1, levels.size)
    counts[:, [0, -1]] = 0
    spread = correlate1d(counts, [1, 2, 3, 2, 1], mode="constant")
    likely = spread * np.exp(-((levels / EXPECTED_LEVEL_BPM) ** 2) / 2)
    usual = np.where(likely.any(axis=1), levels[np.argmax(likely, axis=1)], 0)
    return usual.reshape(apart.shape[:-1]).astype(float)


def smoothed(rate: np.ndarray) -> np.ndarray:
    """Mean over `SMOOTH_S` seconds; NaN where the value or too many neighbours are missing."""
    if rate.size < SMOOTH_S:
        return np.full(rate.shape, np.nan)
    known = ~np.isnan(rate)
    window = np.ones(SMOOTH_S)
    count = np.convolve(known, window, mode="same")
    total = np.convolve(np.where(known, rate, 0.0), window, mode="same")
    mean: np.ndarray = total / np.maximum(count, 1)
    return np.where(known & (count >= SMOOTH_S / 2), mean, np.nan)


def _block_starts(length_s: int) -> np.ndarray:
    """First index of each block among every `STEP_S`-th of `length_s` seconds."""
    block_s = np.clip(length_s // FEWEST_BLOCKS, SHORTEST_BLOCK_S, BLOCK_S)
    blocks = max(1, int(length_s // block_s))
    samples = -(-length_s // STEP_S)
    return np.linspace(0, samples, blocks, endpoint=False).astype(int)
