"""Which of the seconds that enter a figure decide it, or weigh most in it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Deciding:
    """Words for what is special in them, and their places among the pairs, shape (n,), n > 0."""

    words: str
    found: Callable[[np.ndarray, np.ndarray], list[int]]

    def places(self, reference: np.ndarray, device: np.ndarray) -> list[int]:
        """Each once; none where there is no pair."""
        return list(dict.fromkeys(self.found(reference, device))) if reference.size else []


def _highest(values: np.ndarray) -> int:
    return int(np.argmax(values))


def _around_p95(r: np.ndarray, d: np.ndarray) -> list[int]:
    order = np.argsort(abs(d - r), kind="stable")
    below = int(0.95 * (r.size - 1))
    return [int(place) for place in order[below : below + 2]]


HIGHEST_OF_REFERENCE = Deciding("the highest reading decides", lambda r, d: [_highest(r)])
HIGHEST_OF_DEVICE = Deciding("the highest reading decides", lambda r, d: [_highest(d)])
HIGHEST_OF_EACH = Deciding(
    "the highest reading of each decides", lambda r, d: [_highest(r), _highest(d)]
)
FURTHEST_OFF = Deciding("the second that is furthest off", lambda r, d: [_highest(abs(d - r))])
FURTHEST_IN_PERCENT = Deciding(
    "the second furthest off in percent", lambda r, d: [_highest(abs(d / r - 1))]
)
AROUND_95_PERCENT = Deciding("the percentile lies between these", _around_p95)
