"""Does the difference grow with heart rate? Regression of the difference on the mean, and
regression-based limits of agreement.

`reference` and `device` have shape (n,), in bpm, without missing values; differences are device
minus reference. Seconds that follow one another are not independent: give `effective_n` (see
`strapline.method.agreement.dependence`), of the residuals, or the intervals are far too narrow.
Fewer than three pairs, or no spread, give NaN.
"""

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile

# Absolute residuals of a normal distribution average root(2 / pi) SD.
SD_OF_SIZE = math.sqrt(math.pi / 2)


@dataclass(frozen=True)
class Line:
    """A straight line by least squares, y = intercept + slope x."""

    intercept: float
    slope: float
    slope_interval: Interval

    def at(self, x: float) -> float:
        return self.intercept + self.slope * x


def difference_on_mean(
    reference: np.ndarray, device: np.ndarray, effective_n: float | None = None
) -> Line:
    """The difference in bpm against the mean of both, in bpm.

    Bland & Altman 1999, Stat Methods Med Res 8:135-160, section 3. Against the mean, not the
    reference: a random error in the reference alone tilts a line against it (Bland & Altman
    1995, Lancet 346:1085-1087). Against the mean a slope also comes from unequal spreads.
    """
    return _least_squares((reference + device) / 2, device - reference, effective_n)


@dataclass(frozen=True)
class RegressionLimits:
    """What 95 % limits are made of, as straight lines in the mean of both methods, in bpm.

    bias: difference against the mean; spread: absolute residual against the mean.
    """

    bias: Line
    spread: Line

    def sd_at(self, mean: float) -> float:
        """At a mean of both methods, not below 0."""
        return max(self.spread.at(mean), 0.0) * SD_OF_SIZE


def regression_limits(reference: np.ndarray, device: np.ndarray) -> RegressionLimits:
    """b0 + b1 A ± 2.46 (c0 + c1 A), A the mean of both: Bland & Altman 1999, section 3.2."""
    mean = (reference + device) / 2
    bias = _least_squares(mean, device - reference)
    residual = np.abs(device - reference - bias.intercept - bias.slope * mean)
    return RegressionLimits(bias, _least_squares(mean, residual))


def _least_squares(x: np.ndarray, y: np.ndarray, effective_n: float | None = None) -> Line:
    n = x.size
    spread = float(np.sum((x - np.mean(x)) ** 2)) if n > 2 else 0.0
    if spread == 0:
        return Line(math.nan, math.nan, UNKNOWN)
    slope = float(np.sum((x - np.mean(x)) * (y - np.mean(y)))) / spread
    intercept = float(np.mean(y)) - slope * float(np.mean(x))
    residual = y - intercept - slope * x
    sd = math.sqrt(float(residual @ residual) / (n - 2))
    counted = n if effective_n is None else effective_n
    error = sd / math.sqrt(spread * counted / n)
    return Line(intercept, slope, around(slope, t_quantile(counted - 2) * error))
