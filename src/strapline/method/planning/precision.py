"""How many sessions it takes to know a bias, or a limit of agreement, as well as wanted.

The half-width of an interval hangs on the spread that happens to be observed, so that a number
of sessions which suffices on average fails in half of all tests. Planned with an assurance of
0.9 it suffices in nine of ten: the spread is taken at the quantile of its chi-squared
distribution that it stays below with that probability (Kupper & Hafner 1989, Am Stat
43:101-105; Grieve 1991, Am Stat 45:241-242; formulas from memory, promise checked by
simulation).
"""

import bisect
import math
from collections.abc import Callable
from dataclasses import dataclass

from strapline.method.agreement.interval import chi2_quantile, t_quantile
from strapline.method.agreement.limit_intervals import Component, limit_margins

FEWEST = 2
# Nobody plans for more; what needs more needs another design.
MOST = 1000


@dataclass(frozen=True)
class Spread:
    """What one session's figures vary by: bpm² and a number.

    of_biases: variance of sessions' biases, chance error included; within: of single differences
    about their session's bias; independent: seconds a session is worth, above 1.
    """

    of_biases: float
    within: float
    independent: float


HalfWidth = Callable[[Spread, int, float | None], float]


def bias_half_width(spread: Spread, sessions: int, assurance: float | None = None) -> float:
    """Of the 95 % interval of the mean bias, in bpm; infinite for fewer than two sessions.

    Without an assurance it is that for the spread as given, else what it stays below with that
    probability: t · s / root n, s² at its chi-squared quantile.
    """
    if sessions < FEWEST:
        return math.inf
    variance = _upper(spread.of_biases, sessions - 1, assurance)
    return t_quantile(sessions - 1) * math.sqrt(variance / sessions)


def limit_half_width(spread: Spread, sessions: int, assurance: float | None = None) -> float:
    """Half the length of the 95 % interval of a limit of agreement, in bpm, sessions as subjects.

    As the archive has it where no session fails: MOVER (Zou 2013, Stat Methods Med Res
    22:630-642) with the variance of sessions' biases and the mean of the variances within. With
    many sessions of one independent value each it is 1.96 root(3 s² / n), as Bland & Altman 1986
    have it. Both components are held at quantiles that they stay below together with the
    assurance.
    """
    if sessions < FEWEST:
        return math.inf
    each = None if assurance is None else math.sqrt(assurance)
    freedom = sessions * (spread.independent - 1)
    between = _upper(spread.of_biases, sessions - 1, each)
    within = spread.within * (1 - 1 / spread.independent)
    parts = [Component.chi_squared(between, sessions - 1)]
    if freedom >= 1:
        within = _upper(within, freedom, each)
        # Of normal values; sessions may differ more, which nobody knows beforehand.
        error = within * math.sqrt(2 / freedom)
        parts.append(Component.of_mean(within, error, sessions - 1))
    margins = limit_margins(parts, t_quantile(sessions - 1) * math.sqrt(between / sessions))
    return (margins.inward + margins.outward) / 2


HALF_WIDTHS: dict[str, HalfWidth] = {"bias": bias_half_width, "limit": limit_half_width}


def sessions_for(half_width: HalfWidth, spread: Spread, wanted: float, assurance: float) -> int:
    """The fewest sessions whose half-width is at most `wanted` bpm with the assurance.

    Half-widths fall with every session, so the number is found by halving. MOST + 1 stands for
    more than MOST.
    """
    numbers = range(FEWEST, MOST + 1)
    place = bisect.bisect_left(
        numbers, True, key=lambda n: half_width(spread, n, assurance) <= wanted
    )
    return FEWEST + place


def _upper(variance: float, freedom: float, assurance: float | None) -> float:
    """What an estimate of the variance stays below with the assurance; itself without one."""
    if assurance is None:
        return variance
    return variance * chi2_quantile(assurance, freedom) / freedom
