"""Differences of one device in one session, second by second, with a known mean."""

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter

FAULT_BPM = -20.0
BIAS_BPM = 1.0
# A heart rate that turns within a minute or two.
RATE_CORRELATION, RATE_SPREAD_BPM = 0.985, 15.0
BEFORE_S = 600


@dataclass(frozen=True)
class Sensor:
    """How a device errs: first-order autoregressive noise; low stretches that last `lasts_s`
    and begin at random, once in `every_s` on average; and a first-order lag of `late_s` behind a
    heart rate that wanders."""

    correlation: float
    spread_bpm: float = 3.0
    lasts_s: float = 0.0
    every_s: float = 1.0
    late_s: float = 0.0

    @property
    def bias(self) -> float:
        return BIAS_BPM + FAULT_BPM * self.lasts_s / self.every_s

    def differences(self, seconds: int, random: np.random.Generator) -> np.ndarray:
        found = BIAS_BPM + autoregression(random, seconds, self.correlation, self.spread_bpm)
        if self.lasts_s:
            found += FAULT_BPM * self._failing(seconds, random)
        if self.late_s:
            found += self._behind(seconds, random)
        return found

    def _behind(self, seconds: int, random: np.random.Generator) -> np.ndarray:
        """What a lag adds, 0 on average; the rate wanders from long before the first second."""
        rate = autoregression(random, seconds + BEFORE_S, RATE_CORRELATION, RATE_SPREAD_BPM)
        keep = np.exp(-1 / self.late_s)
        behind: np.ndarray = (lfilter([1 - keep], [1, -keep], rate) - rate)[BEFORE_S:]
        return behind

    def _failing(self, seconds: int, random: np.random.Generator) -> np.ndarray:
        """True where it fails; from long before the first second, so that it may begin in one."""
        failing = np.zeros(seconds, dtype=bool)
        at = -20 * self.every_s
        while at < seconds:
            at += random.exponential(self.every_s - self.lasts_s)
            failing[max(round(at), 0) : max(round(at + self.lasts_s), 0)] = True
            at += self.lasts_s
        return failing


def autoregression(
    random: np.random.Generator, n: int, correlation: float, sd: float
) -> np.ndarray:
    """A stationary series of n values about 0."""
    shocks = random.normal(size=n)
    shocks[1:] *= np.sqrt(1 - correlation**2)
    series: np.ndarray = sd * lfilter([1.0], [1.0, -correlation], shocks)
    return series


GOOD, PERSISTENT = Sensor(0.95), Sensor(0.98)
SENSORS = {
    "good, correlation .95": GOOD,
    "good, correlation .98": PERSISTENT,
    "low 30 s in 150": Sensor(0.95, 3.0, 30, 150),
    "low 60 s in 300": Sensor(0.95, 3.0, 60, 300),
    "low 120 s in 600": Sensor(0.95, 3.0, 120, 600),
    "late by 5 s": Sensor(0.95, late_s=5),
    "late by 15 s": Sensor(0.95, late_s=15),
}
