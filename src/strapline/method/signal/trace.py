"""One recording's usable heart rates, and two of them at the same seconds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Flag
from strapline.method.signal.grid import epoch_seconds, values_at

# A report is late, and the time before it not covered, beyond this many usual intervals.
LATE = 1.5


@dataclass(frozen=True)
class Trace:
    """Seconds since the epoch, ascending, and bpm."""

    time_s: np.ndarray
    rate: np.ndarray

    @classmethod
    def of(cls, normalised: pd.DataFrame) -> Trace:
        """From a frame under NORMALISED."""
        kept = normalised[normalised["flag"] == Flag.KEPT]
        return cls(epoch_seconds(kept["time"]), kept["heart_rate_bpm"].to_numpy())

    @classmethod
    def of_rates(cls, channels: pd.DataFrame) -> Trace:
        """The averaged rates beside RR intervals, from a frame under CHANNELS."""
        rated = channels.dropna(subset=["heart_rate_bpm"])
        return cls(epoch_seconds(rated["time"]), rated["heart_rate_bpm"].to_numpy())

    def shifted(self, offset_s: float | np.ndarray) -> Trace:
        """Every time later by `offset_s`, or by one offset a time, shape (n,); without those whose
        offset is NaN."""
        time_s = self.time_s + offset_s
        known = np.isfinite(time_s)
        return Trace(time_s[known], self.rate[known])

    def without(self, seconds: np.ndarray) -> Trace:
        """Without the values nearest to any of these whole seconds."""
        kept = ~np.isin(np.round(self.time_s), seconds)
        return Trace(self.time_s[kept], self.rate[kept])

    def at(self, seconds: np.ndarray, longest_gap_s: float) -> np.ndarray:
        return values_at(seconds, self.time_s, self.rate, longest_gap_s)

    @cached_property
    def interval_s(self) -> float:
        """How often it reports: the median time between values; 0 for fewer than two."""
        return float(np.median(np.diff(self.time_s))) if self.time_s.size > 1 else 0.0


@dataclass(frozen=True)
class Pairs:
    """Both heart rates at each second, NaN where missing; for how many seconds each stands;
    and where nothing is missing, but the next report is awaited. All of one shape (n,)."""

    reference: np.ndarray
    device: np.ndarray
    stands_for_s: np.ndarray
    awaited: np.ndarray


def paired(
    reference: Trace,
    device: Trace,
    seconds: np.ndarray,
    longest_gap_s: float,
    believed: Trace | None = None,
) -> Pairs:
    """The two recordings at whole `seconds`.

    Where both report at least every `longest_gap_s`, each second has a value of both. Where one
    reports less often, it is taken at what it claims: each of its reports stands for the time
    since the one before, and is compared with the other's mean over that time; the reference's
    is taken over the values `believed`, if that is given. It has no value in between, where the
    other keeps its own.
    """
    coarser, finer = (
        (device, reference) if device.interval_s > reference.interval_s else (reference, device)
    )
    if coarser.interval_s <= longest_gap_s:
        return Pairs(
            reference.at(seconds, longest_gap_s),
            device.at(seconds, longest_gap_s),
            np.ones(seconds.shape),
            np.zeros(seconds.shape, dtype=bool),
        )
    reports, means = np.full(seconds.shape, np.nan), np.full(seconds.shape, np.nan)
    place = np.round(coarser.time_s - seconds[0]).astype(int)
    inside = (place >= 0) & (place < seconds.size)
    reports[place[inside]] = coarser.rate[inside]
    averaged = believed if believed is not None and finer is reference else finer
    means[place[inside]] = _means_before(averaged, coarser.time_s[inside], coarser.interval_s)
    awaited = np.isnan(reports) & _covered(coarser, seconds)
    means = np.where(awaited, finer.at(seconds, longest_gap_s), means)
    sides = (means, reports) if coarser is device else (reports, means)
    return Pairs(*sides, np.full(seconds.shape, coarser.interval_s), awaited)


def _means_before(trace: Trace, ends: np.ndarray, width_s: float) -> np.ndarray:
    """Mean of the values in the `width_s` up to each end; NaN where they cover less than half."""
    total = np.concatenate([[0.0], np.cumsum(trace.rate)])
    first = np.searchsorted(trace.time_s, ends - width_s, side="right")
    last = np.searchsorted(trace.time_s, ends, side="right")
    count = last - first
    enough = (count > 0) & (count * trace.interval_s >= width_s / 2)
    means = np.full(ends.shape, np.nan)
    means[enough] = (total[last] - total[first])[enough] / count[enough]
    return means


def _covered(trace: Trace, seconds: np.ndarray) -> np.ndarray:
    """Whether each second lies before a report that is not late."""
    after = np.searchsorted(trace.time_s, seconds, side="left")
    ahead = np.concatenate([trace.time_s, [np.inf]])[after]
    behind = np.concatenate([[trace.time_s[0] - trace.interval_s], trace.time_s])[after]
    in_time: np.ndarray = ahead - behind <= LATE * trace.interval_s
    return in_time & (seconds > behind)
