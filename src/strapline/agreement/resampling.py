"""Circular block bootstrap of evenly spaced series, without building a single resample.

A resample of n steps is a row of blocks of `length` steps laid end to end, the last one cut to
fit, each beginning at a step drawn at random; blocks that run over the end go on at the start
(Politis & Romano 1992, from memory). What a block adds to a sum, or the largest value in it,
depends only on where it begins. So it is tabulated once for every beginning, and a replicate is
a few look-ups: the sums of a thousand resamples cost about as much as two or three of them.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import maximum_filter1d

# Share of the largest values searched first for an upper percentile; doubled until it is enough.
FIRST_SHARE = 0.2


def generator(name: str) -> np.random.Generator:
    """Random numbers that depend on nothing but a name."""
    digest = hashlib.sha256(name.encode()).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest, "big")))


@dataclass(frozen=True)
class Blocks:
    """Where the blocks of every resample of n steps begin, as steps 0 to n - 1.

    whole: shape (replicates, blocks - 1), those of full length; last: shape (replicates,), the
    one cut to fit.
    """

    n: int
    length: int
    whole: np.ndarray
    last: np.ndarray

    @property
    def replicates(self) -> int:
        return self.last.size

    @property
    def last_length(self) -> int:
        return self.n - self.whole.shape[1] * self.length

    def sums(self, series: np.ndarray) -> np.ndarray:
        """The sum of each resample of `series`, shape (replicates,)."""
        return self._over_blocks(lambda length: _block_sums(series, length), np.sum)

    def maxima(self, series: np.ndarray) -> np.ndarray:
        """The largest value of each resample of `series`, shape (replicates,)."""
        return self._over_blocks(lambda length: _block_maxima(series, length), np.max)

    def upper_percentiles(self, series: np.ndarray, percent: float) -> np.ndarray:
        """The percentile, interpolated linearly, of the values of each resample that are not
        NaN, shape (replicates,); NaN for a resample without any."""
        present = self.sums((~np.isnan(series)).astype(float)).round().astype(int)
        place = (present - 1) * (1 - percent / 100)  # counted down from the largest value
        upper = np.floor(place).astype(int)
        wanted = np.minimum(np.stack([upper, upper + 1]), present - 1)
        high, low = self._from_the_top(series, wanted)
        return np.where(present > 0, high + (place - upper) * (low - high), np.nan)

    def _over_blocks(
        self, table: Callable[[int], np.ndarray], gather: Callable[..., np.ndarray]
    ) -> np.ndarray:
        """Gather over each resample what `table(length)` gives for its blocks' beginnings."""
        gathered = table(self.last_length)[self.last]
        if self.whole.size:
            whole = gather(table(self.length)[self.whole], axis=1)
            gathered = gather(np.stack([whole, gathered]), axis=0)
        return gathered

    def _from_the_top(self, series: np.ndarray, places: np.ndarray) -> np.ndarray:
        """The values `places` below the largest of each resample; places and result have shape
        (k, replicates). Only the largest values of the series are counted, as few as suffice."""
        falling = np.argsort(-series, kind="stable")[: np.count_nonzero(~np.isnan(series))]
        count = int(np.ceil(FIRST_SHARE * falling.size))
        while True:
            largest = falling[:count]
            reached = np.cumsum(self._occurrences(largest), axis=0, dtype=np.int32)
            if count == falling.size or np.all(reached[-1] > places):
                rank = np.stack([np.count_nonzero(reached <= each, axis=0) for each in places])
                values: np.ndarray = series[largest[np.minimum(rank, count - 1)]]
                return values
            count = min(2 * count, falling.size)

    def _occurrences(self, steps: np.ndarray) -> np.ndarray:
        """How often each of k steps is in each resample, shape (k, replicates)."""
        rising = np.argsort(steps)
        before = np.searchsorted(steps[rising], np.arange(self.n + 1))
        replicate = np.arange(self.replicates)
        change = np.zeros((steps.size + 1, self.replicates), dtype=np.int32)
        for beginnings, length in (
            (self.whole.T, self.length),
            (self.last[None, :], self.last_length),
        ):
            ends = beginnings + length
            for edges, sign in ((beginnings, 1), (ends % self.n, -1)):
                at = before[edges] * self.replicates + replicate
                np.add.at(change.reshape(-1), at.ravel(), np.int32(sign))
            change[0] += np.count_nonzero(ends >= self.n, axis=0).astype(np.int32)
        inside = np.cumsum(change[:-1], axis=0, dtype=np.int32)
        return inside[np.argsort(rising)]


def draw_blocks(n: int, length: int, replicates: int, random: np.random.Generator) -> Blocks:
    """Blocks for resamples of n steps. `length` is brought into 1 to n."""
    length = min(max(length, 1), n)
    whole = -(-n // length) - 1
    beginnings = random.integers(0, n, (replicates, whole)), random.integers(0, n, replicates)
    return Blocks(n, length, *beginnings)


def identity_blocks(n: int, length: int) -> Blocks:
    """The one resample that is the series itself."""
    beginnings = np.arange(0, n, length)
    return Blocks(n, length, beginnings[None, :-1], beginnings[-1:])


def _block_sums(series: np.ndarray, length: int) -> np.ndarray:
    running = np.cumsum(np.concatenate([[0.0], series, series[: length - 1]]))
    return running[length:] - running[:-length]


def _block_maxima(series: np.ndarray, length: int) -> np.ndarray:
    centre = length // 2
    highest = maximum_filter1d(series, size=length, mode="wrap")
    return np.roll(highest, -centre)
