"""What each side showed on average and at its highest, and how far apart that is."""

import numpy as np

from strapline.method.agreement.pairs import percent_of_reference
from strapline.method.metrics.again import of_both
from strapline.method.metrics.deciding import (
    FURTHEST_OFF,
    HIGHEST_OF_DEVICE,
    HIGHEST_OF_EACH,
    HIGHEST_OF_REFERENCE,
)
from strapline.method.metrics.intervals import mean_of, none, spread_of
from strapline.method.metrics.metric import BLAND_ALTMAN, COMMON, Metric

OF_A_MAXIMUM = none(
    "a maximum belongs to its session, and no bootstrap holds it as often as it says"
)

LEVELS = (
    Metric(
        key="mean_reference",
        name="Average, strap",
        meaning="Mean of the strap’s readings in the seconds compared with this device.",
        unit="bpm",
        formula="mean of r",
        source=COMMON,
        interval=mean_of(lambda c: c.reference),
        value=lambda c: float(np.mean(c.pairs[0])),
        again=of_both(lambda r, d: r.sum() / r.size),
    ),
    Metric(
        key="mean_device",
        name="Average, device",
        meaning="Mean of this device’s in the same seconds.",
        unit="bpm",
        formula="mean of d",
        source=COMMON,
        interval=mean_of(lambda c: c.device),
        value=lambda c: float(np.mean(c.pairs[1])),
        again=of_both(lambda r, d: d.sum() / d.size),
    ),
    Metric(
        key="bias",
        name="Bias",
        meaning="Device minus strap, on average.",
        unit="bpm",
        plus=True,
        formula="mean of d − r",
        source=BLAND_ALTMAN,
        interval=spread_of(lambda s: s.bias),
        value=lambda c: c.limits.bias,
        again=of_both(lambda r, d: (d - r).sum() / r.size),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="bias_percent",
        name="Bias, relative",
        meaning="Bias as a share of the strap’s.",
        unit="%",
        plus=True,
        formula="(mean d − mean r) / mean r, in percent",
        source=COMMON,
        interval=spread_of(lambda s: 100 * s.bias / s.mean_r),
        value=lambda c: percent_of_reference(c.limits.bias, float(np.mean(c.pairs[0]))),
        again=of_both(lambda r, d: 100 * (d.sum() - r.sum()) / r.sum()),
        deciding=FURTHEST_OFF,
    ),
    Metric(
        key="maximum_reference",
        name="Highest, strap",
        meaning="The strap’s highest reading.",
        unit="bpm",
        formula="max r",
        source=COMMON,
        interval=OF_A_MAXIMUM,
        value=lambda c: float(np.max(c.pairs[0])),
        again=of_both(lambda r, d: np.sort(r)[-1]),
        deciding=HIGHEST_OF_REFERENCE,
    ),
    Metric(
        key="maximum_device",
        name="Highest, device",
        meaning="The device’s highest reading.",
        unit="bpm",
        formula="max d",
        source=COMMON,
        interval=OF_A_MAXIMUM,
        value=lambda c: float(np.max(c.pairs[1])),
        again=of_both(lambda r, d: np.sort(d)[-1]),
        deciding=HIGHEST_OF_DEVICE,
    ),
    Metric(
        key="maximum_difference",
        name="Highest, minus strap’s highest",
        meaning="The device’s highest reading minus the strap’s, whenever each was.",
        unit="bpm",
        plus=True,
        main=False,
        formula="max d − max r",
        source=COMMON,
        interval=OF_A_MAXIMUM,
        value=lambda c: float(np.max(c.pairs[1])) - float(np.max(c.pairs[0])),
        again=of_both(lambda r, d: np.sort(d)[-1] - np.sort(r)[-1]),
        deciding=HIGHEST_OF_EACH,
    ),
    Metric(
        key="maximum_difference_percent",
        name="Highest, relative to strap’s",
        meaning="The same as a share of the strap’s highest.",
        unit="%",
        plus=True,
        main=False,
        formula="(max d − max r) / max r, in percent",
        source=COMMON,
        interval=OF_A_MAXIMUM,
        value=lambda c: percent_of_reference(
            float(np.max(c.pairs[1])) - float(np.max(c.pairs[0])), float(np.max(c.pairs[0]))
        ),
        again=of_both(lambda r, d: 100 * (np.sort(d)[-1] / np.sort(r)[-1] - 1)),
        deciding=HIGHEST_OF_EACH,
    ),
)
