"""Whether one heart rate of a file is only an average, or the highest so far, of another."""

import numpy as np
import numpy.typing as npt

from strapline.reading.formats.columns import Reals

Places = npt.NDArray[np.int64]

# Longer ones that differ by a few seconds are alike.
_SPANS_S = (*range(3, 61), *range(65, 301, 5))
# Of the way to the other in a second.
_SMALLEST_PART, _LARGEST_PART = 0.005, 0.9
# Both are rounded.
_NEAR_BPM, _SMALLEST_SHARE, _FEWEST_S, _ONE_IN = 1.0, 0.95, 120, 7


def made_of(other: Reals, rate: Reals) -> str | None:
    """What `rate` is of `other`, both at the same seconds, shape (n,), NaN where unknown: 'its mean
    over 30 s', for instance. None where it is nothing of the kind."""
    both = np.isfinite(other) & np.isfinite(rate)
    if both.sum() < _FEWEST_S or _unrest(rate) >= _unrest(other):
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
    some = np.flatnonzero(both)[::_ONE_IN]
    for span_s in (span for span in _SPANS_S if span <= other.size // 2):
        for after in (0, span_s // 2):
            # Few are looked at before all are: there are many spans.
            for looked_at in (some, place[both]):
                last = np.minimum(looked_at + after, other.size - 1)
                first = np.maximum(looked_at + after - span_s + 1, 0)
                made = _mean(total, count, first, last)
                if np.mean(np.abs(made - rate[looked_at]) <= _NEAR_BPM) < _SMALLEST_SHARE:
                    break
            else:
                return f"its mean over {span_s} s"
    return None


def _unrest(rate: Reals) -> float:
    """The usual step from one second to the next; of an average it is the smaller."""
    steps = np.abs(np.diff(rate))
    known = steps[np.isfinite(steps)]
    return float(known.mean()) if known.size else np.inf


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
