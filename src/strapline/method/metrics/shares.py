"""How much of the time the device was near."""

import numpy as np

from strapline.method.agreement.bootstrap import Spread
from strapline.method.metrics.again import share_of
from strapline.method.metrics.intervals import spread_of
from strapline.method.metrics.metric import Metric

METERS = "EC13, IEC 60601-2-27 for heart-rate meters (from memory)"

SHARES = (
    Metric(
        key="within_beats",
        name="Within {beats:g} bpm",
        meaning="Share of the time compared.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {beats:g} bpm",
        source=METERS,
        interval=spread_of(lambda s: 100 * s.mean(s.in_beats), Spread.percent),
        value=lambda c: c.within.beats,
        again=share_of(lambda r, d, near: abs(d - r) <= near.beats),
    ),
    Metric(
        key="within_percent",
        name="Within {percent:g} %",
        meaning="Of the strap’s reading.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {percent:g} % of r",
        source=METERS,
        interval=spread_of(lambda s: 100 * s.mean(s.in_percent), Spread.percent),
        value=lambda c: c.within.percent,
        again=share_of(lambda r, d, near: abs(d - r) <= r * near.percent / 100),
    ),
    Metric(
        key="within_either",
        name="Within the wider of the two",
        meaning="Share of the time compared.",
        unit="%",
        formula="share of seconds with abs(d − r) ≤ {beats:g} bpm or {percent:g} % of r",
        source=METERS,
        interval=spread_of(lambda s: 100 * s.mean(s.in_beats | s.in_percent), Spread.percent),
        value=lambda c: c.within.either,
        again=share_of(
            lambda r, d, near: abs(d - r) <= np.maximum(near.beats, r * near.percent / 100)
        ),
    ),
)
