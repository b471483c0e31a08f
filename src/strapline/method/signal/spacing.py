"""How often a recording reports. By its own spacing every stage tells what a gap is, and for how
long a report stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# The largest usual spacing is that of 95 in 100 reports; common practice, no source.
QUANTILE = 0.95
# Dropouts are no spacing, however many: it is at most so many times the usual one, or so long, as
# a recorder that writes only what changes may be silent.
LARGEST_MULTIPLE, LARGEST_UNEVEN_S = 3, 20.0
# A report is late, and the time before it a gap, beyond this many of the largest usual spacings.
LATE = 1.5
# Up to here heart rate between two reports is near enough a straight line: on six real recordings
# of exercise it is 0.6 to 1.2 bpm off on average at this spacing, and 1.7 to 3.7 at a minute.
LONGEST_LINE_S = 20.0


@dataclass(frozen=True)
class Spacing:
    """The usual time between values, and the largest that is usual, in s; 0 for fewer than two."""

    usual_s: float
    largest_s: float

    @classmethod
    def of(cls, time_s: np.ndarray) -> Spacing:
        """Of values at these times, ascending, shape (n,)."""
        if time_s.size < 2:
            return cls(0.0, 0.0)
        apart = np.diff(time_s)
        usual = float(np.median(apart))
        most = max(LARGEST_MULTIPLE * usual, LARGEST_UNEVEN_S)
        return cls(usual, min(float(np.quantile(apart, QUANTILE, method="lower")), most))

    @property
    def by_line(self) -> bool:
        """Whether values are taken between its reports, or each stands for its time as a whole."""
        return is_line(self.usual_s)

    @property
    def unsure_s(self) -> float:
        """How far to either side of its time lies what a report is the mean of."""
        return max(self.usual_s - 1, 0.0) / 2

    @property
    def is_uneven(self) -> bool:
        return self.by_line and self.largest_s > self.usual_s

    @property
    def longest_s(self) -> float:
        """The longest time between two reports that is no gap."""
        return LATE * self.largest_s

    def gap_s(self, least_s: float) -> float:
        """The longest time over which a line is drawn, of which the settings allow `least_s`."""
        return max(least_s, self.longest_s) if self.by_line else least_s


def is_line(usual_s: float) -> bool:
    return usual_s <= LONGEST_LINE_S


def usual_s(stands_for_s: np.ndarray) -> float:
    """The usual spacing of the seconds compared, by what the report at each stands for, shape
    (n,); a second where nothing was."""
    return float(np.median(stands_for_s)) if stands_for_s.size else 1.0


def longest_unit_s(stands_for_s: np.ndarray, *sides: np.ndarray) -> int:
    """The longest time of which each report has a whole number among these seconds.

    Each second, shape (n,), has what the report stands for and the values of both sides. One of
    every so many seconds then gives each report its time, with no more values than there are
    reports where they are a minute apart and all there.
    """
    if stands_for_s.size == 0:
        return 1
    columns = (np.round(stands_for_s), *sides)
    parts = np.any([column[1:] != column[:-1] for column in columns], axis=0)
    edges = np.concatenate([[0], np.flatnonzero(parts) + 1, [stands_for_s.size]])
    lengths = np.concatenate([np.diff(edges), columns[0].astype(int)])
    return max(int(np.gcd.reduce(lengths)), 1)


def every(chosen: np.ndarray, so_many: int) -> np.ndarray:
    """The last of every `so_many` of the places chosen, as a mask of shape (n,)."""
    last: np.ndarray = chosen & (np.cumsum(chosen) % so_many == 0)
    return last


def independent_reports(stands_for_s: np.ndarray) -> float:
    """How many reports the seconds compared come from, by what the report at each stands for."""
    return float(np.sum(1 / stands_for_s))
