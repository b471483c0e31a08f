"""How far off the device was, second by second."""

import numpy as np

from strapline.method.agreement.bootstrap import Spread
from strapline.method.agreement.pairs import NORMAL_975
from strapline.method.metrics.again import of_both, percentile_95, sd
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.deciding import AROUND_95_PERCENT, FURTHEST_IN_PERCENT, FURTHEST_OFF
from strapline.method.metrics.intervals import below, size_quantile, spread_of
from strapline.method.metrics.metric import BLAND_ALTMAN, COMMON, Metric


def _mape(c: Compared) -> float:
    """NaN where a reference value is 0."""
    reference = c.pairs[0]
    return float(np.mean(c.sizes / reference) * 100) if np.all(reference != 0) else np.nan


def _largest(c: Compared) -> float:
    return float(np.max(c.sizes))


ERRORS = (
    Metric(
        key="sd_of_differences",
        name="Spread",
        meaning="Standard deviation of the differences.",
        unit="bpm",
        main=False,
        formula="SD (n − 1) of d − r",
        source=BLAND_ALTMAN,
        interval=spread_of(lambda s: s.sd_of_differences, Spread.root_of_squares),
        value=lambda c: c.limits.sd,
        again=of_both(lambda r, d: sd(d - r)),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="limit_lower",
        name="Lower limit",
        meaning="Lower limit of agreement (95 %).",
        unit="bpm",
        plus=True,
        main=False,
        formula="bias − 1.96 SD of d − r",
        source=BLAND_ALTMAN,
        interval=spread_of(lambda s: s.bias - NORMAL_975 * s.sd_of_differences, Spread.limit),
        value=lambda c: c.limits.lower,
        again=of_both(lambda r, d: (d - r).mean() - 1.96 * sd(d - r)),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="limit_upper",
        name="Upper limit",
        meaning="Upper limit of agreement (95 %).",
        unit="bpm",
        plus=True,
        main=False,
        formula="bias + 1.96 SD of d − r",
        source=BLAND_ALTMAN,
        interval=spread_of(lambda s: s.bias + NORMAL_975 * s.sd_of_differences, Spread.limit),
        value=lambda c: c.limits.upper,
        again=of_both(lambda r, d: (d - r).mean() + 1.96 * sd(d - r)),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="mae",
        name="Mean absolute error",
        meaning="How far off a second is on average.",
        unit="bpm",
        formula="mean of abs(d − r)",
        source=COMMON,
        interval=below(_largest, spread_of(lambda s: s.mean(s.compared.size), Spread.size)),
        value=lambda c: float(np.mean(c.sizes)),
        again=of_both(lambda r, d: abs(d - r).sum() / r.size),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="rmse",
        name="Root mean square error",
        meaning="Weighs large errors more.",
        unit="bpm",
        main=False,
        formula="root of the mean of (d − r)²",
        source=COMMON,
        interval=below(
            _largest,
            spread_of(lambda s: np.sqrt(s.mean(s.compared.size**2)), Spread.root_of_squares),
        ),
        value=lambda c: float(np.sqrt(np.mean(c.sizes**2))),
        again=of_both(lambda r, d: float(np.linalg.norm(d - r)) / r.size**0.5),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="mape",
        name="Mean absolute error, relative",
        meaning="As a share of the strap’s.",
        unit="%",
        main=False,
        formula="mean of abs(d − r) / r, in percent",
        source="common practice; < 10 % is the threshold studies attribute to CTA-2065 (read in "
        "papers, not in the standard)",
        interval=below(
            lambda c: 100 * float(np.max(c.sizes / c.pairs[0])),
            spread_of(lambda s: 100 * s.mean(s.compared.size / s.compared.reference), Spread.size),
        ),
        value=_mape,
        again=of_both(lambda r, d: 100 * abs(d / r - 1).sum() / r.size if r.all() else np.nan),
        deciding=FURTHEST_IN_PERCENT,
    ),
    Metric(
        key="absolute_error_p95",
        name="Worst 5 %",
        meaning="One second in 20 is off by more.",
        unit="bpm",
        formula="95th percentile of abs(d − r), interpolated linearly",
        source=COMMON,
        interval=size_quantile(0.95),
        value=lambda c: float(np.percentile(c.sizes, 95)),
        again=of_both(lambda r, d: percentile_95(abs(d - r))),
        deciding=AROUND_95_PERCENT,
    ),
)
