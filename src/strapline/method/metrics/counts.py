"""On how many seconds figures rest."""

import math

from strapline.method.metrics import again
from strapline.method.metrics.intervals import COVERAGE as COVERAGE_INTERVAL
from strapline.method.metrics.intervals import none
from strapline.method.metrics.metric import COMMON, Metric

COVERAGE = Metric(
    key="coverage",
    name="Coverage",
    meaning="Share of the strap’s usable seconds that it reported in.",
    unit="%",
    formula="seconds compared, of those the reference could be compared in, in percent",
    source=COMMON,
    interval=COVERAGE_INTERVAL,
    value=lambda c: 100 * c.n / c.device.size if c.device.size else math.nan,
    again=again.coverage,
    needs_pairs=False,
)
EFFECTIVE_N = Metric(
    key="effective_n",
    name="Independent seconds",
    meaning="As many as the seconds compared are worth, for each repeats the one before.",
    unit="1",
    main=False,
    decimals=0,
    formula="seconds compared / sum of the autocorrelations of d − r, at all lags",
    source="initial monotone sequence of Geyer 1992, Stat Sci 7:473–483, from memory",
    interval=none("it says how sure the other figures are"),
    value=lambda c: c.effective_n,
    again=None,
)
