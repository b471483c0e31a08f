"""How much of the time the device reported and was near, and what that time is worth."""

import math

import numpy as np

from strapline.method.agreement.bootstrap import Spread
from strapline.method.metrics import again
from strapline.method.metrics.again import share_of
from strapline.method.metrics.intervals import COVERAGE as COVERAGE_INTERVAL
from strapline.method.metrics.intervals import none, spread_of
from strapline.method.metrics.metric import COMMON, Metric

# The accuracy asked of meters is the wider of ±5 bpm and ±10 %.
METERS = "EC13, IEC 60601-2-27 for heart-rate meters (from memory)"

SHARES = (
    Metric(
        key="within_beats",
        name="Within {beats:g} bpm",
        meaning="Share of the time compared.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {beats:g} bpm",
        source=METERS,
        interval=spread_of(lambda s: 100 * s.mean(s.compared.in_beats), Spread.percent),
        value=lambda c: c.share(c.in_beats),
        again=share_of(lambda r, d, near: abs(d - r) <= near.beats),
    ),
    Metric(
        key="within_percent",
        name="Within {percent:g} %",
        meaning="Of the strap’s reading.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {percent:g} % of r",
        source=METERS,
        interval=spread_of(lambda s: 100 * s.mean(s.compared.in_percent), Spread.percent),
        value=lambda c: c.share(c.in_percent),
        again=share_of(lambda r, d, near: abs(d - r) <= r * near.percent / 100),
    ),
    Metric(
        key="within_either",
        name="Within the wider of the two",
        meaning="Share of the time compared.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {beats:g} bpm or {percent:g} % of r",
        source=METERS,
        interval=spread_of(
            lambda s: 100 * s.mean(s.compared.in_beats | s.compared.in_percent), Spread.percent
        ),
        value=lambda c: c.share(c.in_beats | c.in_percent),
        again=share_of(
            lambda r, d, near: abs(d - r) <= np.maximum(near.beats, r * near.percent / 100)
        ),
    ),
)


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
