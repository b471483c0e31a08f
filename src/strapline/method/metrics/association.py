"""Whether both sides go together, and whether the error goes with the heart rate."""

import numpy as np

from strapline.method.agreement.bootstrap import Spread
from strapline.method.agreement.pairs import concordance, pearson_r
from strapline.method.metrics import again
from strapline.method.metrics.again import of_both
from strapline.method.metrics.intervals import SLOPE, spread_of
from strapline.method.metrics.metric import COMMON, Metric

CORRELATIONS = (
    Metric(
        key="pearson_r",
        name="Correlation",
        meaning="Pearson’s r; blind to bias.",
        unit="1",
        main=False,
        decimals=3,
        formula="product-moment correlation of r and d",
        source=COMMON,
        interval=spread_of(lambda s: s.covariance / np.sqrt(s.var_r * s.var_d), Spread.correlation),
        value=lambda c: pearson_r(*c.pairs),
        again=of_both(again.correlation),
    ),
    Metric(
        key="concordance",
        name="Concordance",
        meaning="Lin’s coefficient; 1 is full agreement.",
        unit="1",
        main=False,
        decimals=3,
        formula="2 s_rd / (s_r² + s_d² + (mean r − mean d)²), moments over n",
        source="Lin 1989, Biometrics 45:255–268; corrected 2000, 56:324–325",
        interval=spread_of(
            lambda s: 2 * s.covariance / (s.var_r + s.var_d + s.bias**2), Spread.correlation
        ),
        value=lambda c: concordance(*c.pairs),
        again=of_both(again.concordance),
    ),
)
# To choose seconds by the reference, as a band of effort does, makes a slope by itself.
PROPORTIONAL_SLOPE = Metric(
    key="proportional_slope",
    name="Proportional bias",
    meaning="By how much the difference grows with each beat of heart rate.",
    unit="bpm/bpm",
    plus=True,
    main=False,
    decimals=3,
    formula="slope of d − r on (d + r) / 2, by least squares",
    source="Bland & Altman 1999, Stat Methods Med Res 8:135–160",
    interval=SLOPE,
    value=lambda c: c.line.slope,
    again=of_both(again.slope),
    given="whole session",
)
