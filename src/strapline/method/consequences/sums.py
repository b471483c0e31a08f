"""What adds up over a session, second by second: time in bands, time above a rate, load, energy."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from strapline.method.agreement.bootstrap import FEWEST_SECONDS, mean_interval
from strapline.method.agreement.dependence import effective_size
from strapline.method.agreement.effort import BAND_STARTS_PERCENT, EFFORT_BANDS, effort_bands
from strapline.method.agreement.interval import UNKNOWN, Interval
from strapline.method.agreement.resampling import generator
from strapline.method.consequences.load import banister_trimp, edwards_load, keytel_energy_kj
from strapline.method.consequences.needs import BANISTER, EDWARDS, ENERGY, wanting
from strapline.method.consequences.told import BAND

if TYPE_CHECKING:
    from strapline.ground.records.card import Body
    from strapline.ground.records.ledger import MaximumHeartRate
    from strapline.ground.settings import Intervals

WRONG_BAND = "wrong_band"
ABOVE, MISSED, INVENTED = "above", "above_missed", "above_invented"
TIME = "min"


@dataclass(frozen=True)
class Seconds:
    """Heart rates in bpm, shape (n,), one a second; both NaN where they are not compared."""

    reference: np.ndarray
    device: np.ndarray

    @property
    def count(self) -> int:
        return int(np.count_nonzero(~np.isnan(self.device)))


@dataclass(frozen=True)
class Sum:
    """What each second adds on either side, shape (n,), NaN where it is not compared.

    `from_bpm` is the rate from which time counts, where there is one.
    """

    quantity: str
    unit: str
    reference: np.ndarray
    device: np.ndarray
    from_bpm: float = np.nan

    @property
    def totals(self) -> tuple[float, float]:
        """Of the reference and of the device."""
        return float(np.nansum(self.reference)), float(np.nansum(self.device))

    def interval(self, intervals: Intervals, name: str) -> Interval:
        """A 95 % interval of device minus reference, from a block bootstrap over the seconds.

        None where the difference does not vary, from less time than `intervals.shortest_s` or
        fewer independent seconds than `intervals.fewest_independent`, and for times, in which
        the sides differ in runs of seconds too few for that. Random numbers depend on `name`.
        """
        series = self.device - self.reference
        present = series[~np.isnan(series)]
        fewest = max(intervals.shortest_s, FEWEST_SECONDS)
        if self.unit == TIME or present.size < fewest or np.ptp(present) == 0:
            return UNKNOWN
        if effective_size(series) < intervals.fewest_independent:
            return UNKNOWN
        mean = mean_interval(series, generator(f"{name} {self.quantity}"), intervals.replicates)
        return Interval(mean.low * present.size, mean.high * present.size)


def sums(
    seconds: Seconds, maximum: MaximumHeartRate, body: Body, alarm_bpm: float
) -> Iterator[Sum]:
    """Minutes in each band of EFFORT_BANDS and in a wrong one, minutes above `alarm_bpm`, and,
    where `body` has what each needs, load and energy."""
    yield from _bands(seconds, maximum.bpm)
    yield from _above(seconds, alarm_bpm)
    yield from _loads(seconds, maximum.bpm, body)


def _bands(seconds: Seconds, maximum_bpm: float) -> Iterator[Sum]:
    true = effort_bands(seconds.reference, maximum_bpm)
    shown = effort_bands(seconds.device, maximum_bpm)
    starts = 0.0, *(maximum_bpm * percent / 100 for percent in BAND_STARTS_PERCENT)
    for place, (band, start) in enumerate(zip(EFFORT_BANDS, starts, strict=True)):
        reference, device = (_minutes(side == place, seconds) for side in (true, shown))
        yield Sum(f"{BAND}{band}", TIME, reference, device, start)
    yield _amiss(WRONG_BAND, true != shown, seconds)


def _above(seconds: Seconds, alarm_bpm: float) -> Iterator[Sum]:
    true, shown = seconds.reference > alarm_bpm, seconds.device > alarm_bpm
    yield Sum(ABOVE, TIME, _minutes(true, seconds), _minutes(shown, seconds), alarm_bpm)
    yield _amiss(MISSED, true & ~shown, seconds, alarm_bpm)
    yield _amiss(INVENTED, shown & ~true, seconds, alarm_bpm)


def _loads(seconds: Seconds, maximum_bpm: float, body: Body) -> Iterator[Sum]:
    lacking = wanting(body)
    known: Any = body  # Nothing that is used of it is missing.

    def sides(adds: Callable[[np.ndarray], np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        return adds(seconds.reference), adds(seconds.device)

    if BANISTER not in lacking:
        impulse = partial(
            banister_trimp,
            resting_bpm=known.resting_bpm,
            highest_bpm=maximum_bpm,
            sex=known.sex,
        )
        yield Sum(BANISTER, "1", *sides(impulse))
    if EDWARDS not in lacking:
        yield Sum(EDWARDS, "1", *sides(partial(edwards_load, highest_bpm=maximum_bpm)))
    if ENERGY not in lacking:
        energy = partial(
            keytel_energy_kj, sex=known.sex, weight_kg=known.weight_kg, age=known.age_years
        )
        yield Sum(ENERGY, "kJ", *sides(energy))


def _minutes(holds: np.ndarray, seconds: Seconds) -> np.ndarray:
    return np.where(np.isnan(seconds.device), np.nan, holds / 60)


def _amiss(quantity: str, holds: np.ndarray, seconds: Seconds, from_bpm: float = np.nan) -> Sum:
    """Time in which the device is wrong; the reference never is."""
    minutes = _minutes(holds, seconds)
    return Sum(quantity, TIME, minutes * 0, minutes, from_bpm)
