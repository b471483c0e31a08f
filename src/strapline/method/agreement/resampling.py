"""Circular block bootstrap of evenly spaced series, without building a single resample.

A resample of n steps is a row of blocks of `length` steps laid end to end, the last one cut to
fit, each beginning at a step drawn at random; blocks that run over the end go on at the start
(Politis & Romano 1992, from memory). What a block adds to a sum depends only on where it
begins. So it is tabulated once for every beginning, and a replicate is a few look-ups: the sums
of a thousand resamples cost about as much as two or three of them.
"""

import hashlib
from dataclasses import dataclass

import numpy as np


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
    def last_length(self) -> int:
        return self.n - int(self.whole.shape[1]) * self.length

    def sums(self, series: np.ndarray) -> np.ndarray:
        """The sum of each resample of `series`, shape (replicates,)."""
        running = np.cumsum(np.concatenate([[0.0], series, series[: self.length - 1]]))
        sums: np.ndarray = running[self.last + self.last_length] - running[self.last]
        if self.whole.size:
            from_each = running[self.length :] - running[: -self.length]
            sums = sums + np.sum(from_each.take(self.whole), axis=1)
        return sums


def draw_blocks(n: int, length: int, replicates: int, random: np.random.Generator) -> Blocks:
    """Blocks for resamples of n steps. `length` is brought into 1 to n."""
    length = min(max(length, 1), n)
    whole = -(-n // length) - 1
    beginnings = random.integers(0, n, (replicates, whole)), random.integers(0, n, replicates)
    return Blocks(n, length, *beginnings)
