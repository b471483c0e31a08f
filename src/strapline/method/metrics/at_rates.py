"""How far off a device is at a low, a middling and a high heart rate, by straight lines.

A band of so many bpm around a rate would be picked by what is compared. So bias and spread are
lines through the whole session, told where its heart rates reach.
"""

import math
from collections.abc import Callable

import numpy as np

from strapline.method.agreement.findings import RATES_BPM
from strapline.method.agreement.proportional_bias import SD_OF_SIZE, RegressionLimits
from strapline.method.metrics import again
from strapline.method.metrics.again import of_both
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.intervals import none
from strapline.method.metrics.metric import Metric

SOURCE = "Bland & Altman 1999, Stat Methods Med Res 8:135–160, section 3.2"


def _where_reached(
    rate: float, of: Callable[[RegressionLimits, float], float]
) -> Callable[[Compared], float]:
    """NaN where fewer than a twentieth of the means of both lie below the rate, or above it."""

    def value(c: Compared) -> float:
        low, high = np.percentile(np.add(*c.pairs) / 2, (5, 95))
        return of(c.regression, rate) if low <= rate <= high else math.nan

    return value


def _at(rate: int) -> tuple[Metric, Metric]:
    return (
        Metric(
            key=f"bias_at_{rate}",
            name=f"Bias at {rate} bpm",
            meaning="By a straight line through all differences.",
            unit="bpm",
            plus=True,
            main=False,
            formula=f"least squares of d − r on (d + r) / 2, at {rate}",
            source=SOURCE,
            interval=none("told over sessions"),
            value=_where_reached(rate, lambda limits, at: limits.bias.at(at)),
            again=of_both(again.where_reached(rate, again.bias_line)),
            given="whole session",
        ),
        Metric(
            key=f"sd_at_{rate}",
            name=f"Spread at {rate} bpm",
            meaning="SD of the differences about that line.",
            unit="bpm",
            main=False,
            formula="root(π / 2) times least squares of the sizes of what that line leaves, on "
            f"(d + r) / 2, at {rate}; at least 0",
            source=SOURCE,
            interval=none("told over sessions"),
            value=_where_reached(rate, RegressionLimits.sd_at),
            again=of_both(again.where_reached(rate, again.spread_line)),
            given="whole session",
        ),
    )


AT_RATES = tuple(metric for rate in RATES_BPM for metric in _at(rate))

_DRAWN = none("with the bias and its slope it draws the limits that change with heart rate")

# With bias and slope, all that limits at any rate are made of.
SPREAD_LINE = (
    Metric(
        key="spread_about_line",
        name="Spread about that line",
        meaning="At the average heart rate.",
        unit="bpm",
        main=False,
        formula="root(π / 2) times the mean size of what the line of d − r on (d + r) / 2 leaves",
        source=SOURCE,
        interval=_DRAWN,
        value=lambda c: c.regression.sd_at(float(np.mean(np.add(*c.pairs))) / 2),
        again=of_both(again.spread_about_line),
        given="whole session",
    ),
    Metric(
        key="spread_slope",
        name="Change of that spread",
        meaning="By how much it grows with each beat of heart rate.",
        unit="bpm/bpm",
        plus=True,
        main=False,
        decimals=3,
        formula="root(π / 2) times the slope of these sizes on (d + r) / 2, by least squares",
        source=SOURCE,
        interval=_DRAWN,
        value=lambda c: SD_OF_SIZE * c.regression.spread.slope,
        again=of_both(again.spread_slope),
        given="whole session",
    ),
)
