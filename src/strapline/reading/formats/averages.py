"""Whether one heart rate of a file is only an average, or the highest so far, of another."""

import numpy as np
import numpy.typing as npt

from strapline.reading.formats.columns import Reals

Places = npt.NDArray[np.int64]

_LONGEST_S = 300
# Of the way to the other in a second.
_SMALLEST_PART, _LARGEST_PART = 0.005, 0.9
# Both are rounded.
_NEAR_BPM, _SMALLEST_SHARE, _FEWEST_S = 1.0, 0.97, 120


def made_of(other: Reals, rate: Reals) -> str | None:
    """What `rate` is of `other`, both at the same seconds, shape (n,), NaN where unknown: 'its mean
    over 30 s', for instance. None where it is nothing of the kind."""
    both = np.isfinite(other) & np.isfinite(rate)
    if both.sum() < _FEWEST_S:
        return None
    total = np.concatenate([[0.0], np.cumsum(np.nan_to_num(other))])
    count = np.concatenate([[0], np.cumsum(np.isfinite(other))])
    place = np.arange(other.size, dtype=np.int64)
    if _is(np.maximum.accumulate(np.nan_to_num(other)), rate, both):
        return "its highest so far"
    if _is(_mean(total, count, 0 * place, place), rate, both):
        return "its mean so far"
    if _is(_following(other, rate), rate, both):
        return "which it follows evenly"
    for span_s in range(3, min(_LONGEST_S, other.size // 2) + 1):
        for after in (0, span_s // 2):
            last = np.minimum(place + after, other.size - 1)
            first = np.maximum(place + after - span_s + 1, 0)
            if _is(_mean(total, count, first, last), rate, both):
                return f"its mean over {span_s} s"
    return None


def _following(other: Reals, rate: Reals) -> Reals:
    """What a rate that each second makes up the same share of its distance to `other` would be."""
    ahead, step = (other[1:] - rate[:-1]), np.diff(rate)
    known = np.isfinite(ahead) & np.isfinite(step)
    share = float((ahead[known] * step[known]).sum() / max((ahead[known] ** 2).sum(), 1e-9))
    made = rate.copy()
    if not _SMALLEST_PART < share < _LARGEST_PART:
        return np.full(rate.shape, np.nan)
    for n in range(1, made.size):
        if np.isfinite(made[n - 1]) and np.isfinite(other[n]):
            made[n] = made[n - 1] + share * (other[n] - made[n - 1])
    return made


def _mean(total: Reals, count: Places, first: Places, last: Places) -> Reals:
    with np.errstate(invalid="ignore"):
        return np.asarray((total[last + 1] - total[first]) / (count[last + 1] - count[first]))


def _is(made: Reals, rate: Reals, both: np.ndarray) -> bool:
    return bool(np.mean(np.abs(made[both] - rate[both]) <= _NEAR_BPM) >= _SMALLEST_SHARE)
