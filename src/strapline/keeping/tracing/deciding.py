"""Which of the seconds that enter a figure decide it, or weigh most in it."""

from collections.abc import Callable

import numpy as np

Found = Callable[[np.ndarray, np.ndarray], list[int]]


def deciding(metric: str, reference: np.ndarray, device: np.ndarray) -> tuple[str, list[int]]:
    """Words for what is special in them, and their places among the pairs, shape (n,).

    No places where no second is special, or there is none.
    """
    words, found = DECIDING.get(metric, ("", lambda r, d: []))
    return words, list(dict.fromkeys(found(reference, device))) if reference.size else []


def _around_p95(r: np.ndarray, d: np.ndarray) -> list[int]:
    order = np.argsort(abs(d - r), kind="stable")
    below = int(0.95 * (r.size - 1))
    return [int(place) for place in order[below : below + 2]]


def _highest(values: np.ndarray) -> int:
    return int(np.argmax(values))


def _farthest(r: np.ndarray, d: np.ndarray) -> list[int]:
    return [_highest(abs(d - r))]


_BOTH: tuple[str, Found] = (
    "the highest reading of each decides",
    lambda r, d: [_highest(r), _highest(d)],
)
_FARTHEST: tuple[str, Found] = ("the second that is furthest off", _farthest)

DECIDING: dict[str, tuple[str, Found]] = {
    "maximum_reference": ("the highest reading decides", lambda r, d: [_highest(r)]),
    "maximum_device": ("the highest reading decides", lambda r, d: [_highest(d)]),
    "maximum_difference": _BOTH,
    "maximum_difference_percent": _BOTH,
    "absolute_error_p95": ("the percentile lies between these", _around_p95),
    "mape": ("the second furthest off in percent", lambda r, d: [_highest(abs(d / r - 1))]),
} | dict.fromkeys(
    ("bias", "bias_percent", "mae", "rmse", "sd_of_differences", "limit_lower", "limit_upper"),
    _FARTHEST,
)
