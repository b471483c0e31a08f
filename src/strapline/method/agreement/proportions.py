"""Intervals of a share: of independent cases, and of cases that hang together."""

import math

from scipy.special import betaincinv

from strapline.method.agreement.interval import LEVEL, NORMAL_QUANTILE, UNKNOWN, Interval


def wilson(count: float, n: float) -> Interval:
    """The score interval of count of n independent cases, as shares 0 to 1.

    Wilson 1927, J Am Stat Assoc 22:209-212. NaN for n = 0; ValueError for a count outside 0
    to n. A count may be a half where a tie counts as one.
    """
    if not 0 <= count <= n:
        raise ValueError(f"{count} of {n} is no share")
    if n == 0:
        return UNKNOWN
    z, share = NORMAL_QUANTILE, count / n
    centre = (share + z**2 / (2 * n)) / (1 + z**2 / n)
    half = z / (1 + z**2 / n) * math.sqrt(share * (1 - share) / n + z**2 / (4 * n**2))
    low = 0.0 if count == 0 else centre - half
    return Interval(low, 1.0 if count == n else centre + half)


def share_of_dependent_cases(share: float, effective_n: float) -> Interval:
    """The exact binomial interval with an effective number of cases in the place of n.

    Clopper & Pearson 1934, Biometrika 26:404-413; with an effective n, Korn & Graubard 1998,
    Survey Methodology 24:193-201 (both from memory). It stays sensible near 0 and 1, where a
    standard error does not. share: 0 to 1; effective_n need not be whole.
    """
    hits, tail = share * effective_n, (1 - LEVEL) / 2
    misses = effective_n - hits
    low = betaincinv(hits, misses + 1, tail) if share > 0 else 0.0
    high = betaincinv(hits + 1, misses, 1 - tail) if share < 1 else 1.0
    return Interval(float(low), float(high))


def at_most(count: int, n: int) -> float:
    """How large a share may be of which `count` of n independent cases were seen: the one-sided
    upper bound of Clopper & Pearson 1934 (from memory). 0.22 for none of 12."""
    return float(betaincinv(count + 1, n - count, LEVEL)) if count < n else 1.0
