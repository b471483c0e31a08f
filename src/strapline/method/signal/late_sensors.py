"""Sensors that are late in one way or another, and the one that comes nearest to a device."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import product

import numpy as np

from strapline.method.signal.clocks.likeness import smoothed, usual_level
from strapline.method.signal.grid import changes_over
from strapline.method.signal.response_fit import Fit, Grid, Smoothed, bridged, fitted
from strapline.method.signal.spans import hysteresis, within

# A sensor is late by a delay, by smoothing of the first order or by a mean over the last seconds.
SHIFTS_S = np.arange(-10, 41)
SMOOTHING_S = (0.0, 2.5, 5.0, 8.0, 12.0, 16.0, 22.0, 30.0)
MEANS_S = (5, 9, 13, 19, 25, 31, 41, 61)
# One that is slow in another way at rises than at falls: any two of these, near what fits
# throughout.
SIDES_S = (0.0, 1.0, 2.0, 3.0, 4.5, 6.0, 8.0, 10.0, 12.0, 14.5, 17.0, 20.0, 24.0, 30.0)
SLOW_S = np.array([*zip(SMOOTHING_S, SMOOTHING_S, strict=True), *product(SIDES_S, repeat=2)])
ALIKE, BY_SIDES = slice(len(SMOOTHING_S)), slice(len(SMOOTHING_S), None)
# Half of how far apart they are.
BETWEEN_S = 1.0
NEAR_S, NEAR_SHARE = 8, 0.15
# A sensor that shows a share of every change only, or overdoes it, is not late for that.
SHARES = np.arange(0.5, 1.11, 0.1)
# Changes over so long are told from a sensor's noise.
MATCHED_OVER_S = 30
# Values are compared every so many seconds: what changes over 30 s needs no more. A long session
# needs no more of them than a short one.
STEP_S, BLOCK_S = 4, 60
MOST_VALUES, MOST_BLOCKS = 1800, 180
FEWEST = 3
# A sensor fails where it leaves its usual level by so much, comes no nearer than `BACK_BPM` for
# more than `BRIDGED_S`, and does so for long; what it makes of that is seen for some time around.
NEAR_BPM, OFF_BPM, BACK_BPM = 3.0, 7.0, 5.0
BRIDGED_S, LONG_S, AROUND_S = 10, 15, 25
# Of sensors that agree as well, all but this share, the least late is believed; none is where the
# device would fail for more of the time than it follows.
AS_GOOD, LARGEST_SHARE_FAILING = 0.95, 0.5
# What is left of even the best: values are whole beats.
ROUNDING_BPM = 0.5


@dataclass(frozen=True)
class Sensors:
    """What sensors that are late make of a rate without gaps, shape (n,)."""

    rate: np.ndarray

    @classmethod
    def of(cls, rate: np.ndarray) -> Sensors:
        """Kept of the last rate: most devices of a session are beside the same."""
        return _of_bytes(rate.tobytes())

    @cached_property
    def alike(self) -> Smoothed:
        """Those that follow rises and falls alike."""
        return self._slow.some(ALIKE).beside(Smoothed.means(self.rate, MEANS_S))

    @cached_property
    def by_sides(self) -> Smoothed:
        """Those with a time constant each for rises and falls."""
        return self._slow.some(BY_SIDES)

    @cached_property
    def _slow(self) -> Smoothed:
        """By all of SLOW_S at once, for it takes as long as by one."""
        return Smoothed.first_order(self.rate, SLOW_S)


@lru_cache(maxsize=1)
def _of_bytes(rate: bytes) -> Sensors:
    return Sensors(np.frombuffer(rate))


@dataclass(frozen=True)
class Course:
    """Sensors after a strap's rate without gaps and a device's rate beside it, by the second.

    changes
        The device's, over `MATCHED_OVER_S`.
    known
        Which seconds both have.
    minutes
        Seconds that are compared, of each minute of which enough are known.
    """

    sensors: Sensors
    device: np.ndarray
    changes: np.ndarray
    known: np.ndarray
    minutes: list[np.ndarray]

    @classmethod
    def of(cls, reference: np.ndarray, device: np.ndarray) -> Course | None:
        """Of heart rates in bpm at the same seconds, NaN where missing, shapes (n,); None for less
        than three minutes."""
        smooth, device = smoothed(reference), smoothed(device)
        if reference.size <= MATCHED_OVER_S or np.isnan(smooth).all():
            return None
        changes = changes_over(device, MATCHED_OVER_S)
        known = ~np.isnan(changes + changes_over(smooth, MATCHED_OVER_S))
        return cls._if_enough(Sensors.of(bridged(smooth)), device, changes, known)

    @classmethod
    def _if_enough(
        cls, sensors: Sensors, device: np.ndarray, changes: np.ndarray, known: np.ndarray
    ) -> Course | None:
        length = device.size
        block_s = max(BLOCK_S, length // MOST_BLOCKS)
        blocks = [np.arange(s, min(s + block_s, length)) for s in range(0, length, block_s)]
        minutes = compared(blocks, known, max(STEP_S, length // MOST_VALUES))
        return cls(sensors, device, changes, known, minutes) if len(minutes) >= FEWEST else None

    def where_it_follows(self) -> Course | None:
        """Without the seconds at which the device fails, so that no failure passes for lateness:
        a set of which it sees half looks like a set that it sees late.

        It fails where it is far off the sensor whose level, not only whose changes, it has most
        often. This course itself where that is less than half of the time, for then its level says
        nothing; None if less than three minutes are left.
        """
        off_bpm = np.abs(self.device - self._least_late())
        failing = [
            (start, end)
            for start, end in hysteresis(off_bpm, OFF_BPM, BACK_BPM, BRIDGED_S)
            if end - start >= LONG_S
        ]
        present = ~np.isnan(self.device)
        if within(failing, present.size)[present].mean() > LARGEST_SHARE_FAILING:
            return self
        around = [(max(start - AROUND_S, 0), end + AROUND_S) for start, end in failing]
        known = self.known & ~within(around, present.size)
        return self._if_enough(self.sensors, self.device, self.changes, known)

    def _least_late(self) -> np.ndarray:
        """What the least late of the sensors whose level the device has most often would show, with
        the distance that is usual, shape (n,)."""
        seconds = np.concatenate(self.minutes)
        seconds = seconds[~np.isnan(self.device[seconds])]
        tried, length = self.sensors.alike, self.device.size
        shifted = np.clip(seconds - SHIFTS_S[:, np.newaxis], 0, length - 1)
        apart = self.device[seconds] - tried.rates[:, shifted]
        usual = usual_level(apart)
        apart -= usual[..., np.newaxis]
        agreed = np.exp((apart / NEAR_BPM) ** 2 / -2).mean(axis=-1)
        late_s = np.abs(SHIFTS_S + tried.late_s[:, :1])
        as_good = np.where(agreed >= AS_GOOD * agreed.max(), late_s, np.inf)
        least, shift = np.unravel_index(np.argmin(as_good), as_good.shape)
        source = np.clip(np.arange(length) - SHIFTS_S[shift], 0, length - 1)
        expected: np.ndarray = tried.rates[least][source] + usual[least, shift]
        return expected

    def alike(self) -> Fit:
        """The nearest of the sensors that follow rises and falls alike."""
        grid = Grid.of(self.sensors.alike, MATCHED_OVER_S, SHARES, SHIFTS_S)
        return fitted(grid, self.changes, self.minutes)

    def by_sides(self, alike: Fit) -> Fit:
        """The nearest of those with a time constant each for rises and falls, near that one."""
        share, shift = alike.grid.shares[alike.place[0]], SHIFTS_S[alike.place[2]]
        shares = SHARES[np.abs(SHARES - share) < NEAR_SHARE]
        shifts = SHIFTS_S[np.abs(SHIFTS_S - shift) <= NEAR_S]
        grid = Grid.of(self.sensors.by_sides, MATCHED_OVER_S, shares, shifts)
        return fitted(grid, self.changes, self.minutes)


def unexplained_bpm(reference: np.ndarray, device: np.ndarray) -> float:
    """How far the device's changes over 30 s are from those that the nearest of these sensors would
    show, in the mean and with what rounding leaves in any case; NaN where too little is known."""
    course = Course.of(reference, device)
    if course is None:
        return float("nan")
    left = float(course.alike().least[0])
    return left / sum(minute.size for minute in course.minutes) + ROUNDING_BPM


def compared(spans: list[np.ndarray], known: np.ndarray, step_s: int) -> list[np.ndarray]:
    """Every so many seconds of each that are known, where those are half of them and more."""
    seconds = [span[::step_s] for span in spans]
    return [one[known[one]] for one in seconds if 2 * known[one].sum() >= one.size]
