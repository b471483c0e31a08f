"""A part of a recording, and what an app could show of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strapline.method.signal.grid import seconds_spanned
from strapline.method.signal.trace import Trace


@dataclass(frozen=True)
class Stretch:
    """Heart rates in bpm and the time in s that each stands for, shapes (n,)."""

    rate: np.ndarray
    stands_for_s: np.ndarray

    @classmethod
    def of(cls, trace: Trace, from_s: float = -np.inf, until_s: float = np.inf) -> Stretch:
        """What lies from one second to before another."""
        inside = (trace.time_s >= from_s) & (trace.time_s < until_s)
        time = trace.stands_for_s if trace.time_s.size > 1 else np.ones(trace.time_s.shape)
        return cls(trace.rate[inside], time[inside])

    @classmethod
    def without_gaps(cls, trace: Trace) -> Stretch:
        """The whole of it, with straight lines through its gaps."""
        seconds = seconds_spanned(trace.time_s)
        return cls(np.interp(seconds, trace.time_s, trace.rate), np.ones(seconds.shape))

    @property
    def recorded_s(self) -> float:
        return float(self.stands_for_s.sum())

    @property
    def average_bpm(self) -> float:
        """NaN where it is empty, like the next two."""
        return float(np.average(self.rate, weights=self.stands_for_s)) if self.rate.size else np.nan

    @property
    def maximum_bpm(self) -> float:
        return float(self.rate.max()) if self.rate.size else np.nan

    @property
    def minimum_bpm(self) -> float:
        return float(self.rate.min()) if self.rate.size else np.nan


def lasts_s(trace: Trace) -> float:
    """How long a recording lasts, gaps included."""
    last = trace.spacing.usual_s if trace.spacing.by_line else 0.0
    return trace.ends_s - trace.begins_s + last if trace.time_s.size else 0.0
