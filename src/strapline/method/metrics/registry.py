"""Every figure of a session, in the order of tables and pages.

To add one is an entry here: tables, pages, traces and checks take what they need from it.
"""

from collections.abc import Iterable

from strapline.method.metrics.association import CORRELATIONS, PROPORTIONAL_SLOPE
from strapline.method.metrics.at_rates import AT_RATES, SPREAD_LINE
from strapline.method.metrics.delays import DELAYS
from strapline.method.metrics.errors import ERRORS
from strapline.method.metrics.levels import LEVELS
from strapline.method.metrics.metric import Given, Metric
from strapline.method.metrics.shares import COVERAGE, EFFECTIVE_N, SHARES

# Those whose interval is drawn anew take their random numbers in this order.
METRICS: tuple[Metric, ...] = (
    *LEVELS,
    *ERRORS,
    *SHARES,
    *CORRELATIONS,
    COVERAGE,
    EFFECTIVE_N,
    PROPORTIONAL_SLOPE,
    *AT_RATES,
    *SPREAD_LINE,
    *DELAYS,
)


def found(key: str) -> Metric | None:
    """The figure that tables call so."""
    return next((each for each in METRICS if each.key == key), None)


def metric(key: str) -> Metric:
    """The figure that tables call so. Raises KeyError."""
    each = found(key)
    if each is None:
        raise KeyError(key)
    return each


def chosen(keys: Iterable[str]) -> list[Metric]:
    """Those that tables call so, in that order. Raises KeyError."""
    return [metric(key) for key in keys]


def given(*where: Given) -> list[Metric]:
    """Those that are given there."""
    return [each for each in METRICS if each.given in where]
