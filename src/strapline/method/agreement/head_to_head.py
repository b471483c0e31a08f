"""Two devices worn in the same sessions, compared as pairs.

`differences` has shape (sessions,): one error figure (MAE, MAPE …) of device A minus that of
device B in the same session; below 0, A was closer. No missing values. The session is the unit.
"""

import math
from dataclasses import dataclass

import numpy as np

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.medians import sign_p
from strapline.method.agreement.proportions import wilson
from strapline.method.agreement.resampling import generator

# Below it, over all pairs of a family, a difference counts as shown.
ALPHA = 0.05
EXACT_UP_TO = 16
# Of fewer wearers, sign flips can show nothing: their least p is 2 / 2^n.
FEWEST_PEOPLE = 6
DRAWS = 19_999


@dataclass(frozen=True)
class HeadToHead:
    """What sessions with both devices say.

    median: of the differences; p: of none in the typical session, by the sign test. people_p: the
    same of people, by sign flips of wearers' shares, NaN with fewer than FEWEST_PEOPLE. closer:
    share of sessions in which A had the smaller error, ties as halves, with Wilson's interval: the
    probability that A is closer than B in the next session, if that is like the others.
    """

    sessions: int
    median: float
    p: float
    people_p: float
    closer: float
    closer_interval: Interval


def head_to_head(differences: np.ndarray, wearers: np.ndarray, name: str) -> HeadToHead:
    """Compare A with B; wearers: of each session, empty where nobody says; `name` is what random
    numbers depend on. NaN without a session.

    A mean would go by the few sessions in which one of the two fails. Which is closer is asked of
    the typical session; how often each fails is told beside it.
    """
    n = differences.size
    if n == 0:
        return HeadToHead(0, math.nan, math.nan, math.nan, math.nan, UNKNOWN)
    wins = float(np.count_nonzero(differences < 0) + np.count_nonzero(differences == 0) / 2)
    return HeadToHead(
        sessions=n,
        median=float(np.median(differences)),
        p=sign_p(differences),
        people_p=_of_people(differences, wearers, name),
        closer=wins / n,
        closer_interval=wilson(wins, n),
    )


def _of_people(differences: np.ndarray, wearers: np.ndarray, name: str) -> float:
    stated = wearers != ""
    names, member = np.unique(wearers[stated], return_inverse=True)
    if names.size < FEWEST_PEOPLE:
        return math.nan
    return sign_flip_p(
        np.bincount(member, np.sign(differences[stated])) / np.bincount(member), name
    )


def sign_flip_p(differences: np.ndarray, name: str) -> float:
    """How often a mean as far from 0 comes about if A and B are exchangeable in each session.

    Fisher 1935, The Design of Experiments, section 21. All 2^n signs for n <= EXACT_UP_TO
    sessions, else DRAWS of them from random numbers that depend on `name`, the observed signs
    counted in (Phipson & Smyth 2010, Stat Appl Genet Mol Biol 9:39). Never below 2 / 2^n: with
    five sessions 0.0625 is the least there is. NaN without a session.
    """
    n = differences.size
    if n == 0:
        return math.nan
    observed = abs(float(np.sum(differences)))
    # Equal sums, differently added up, differ in the last digits.
    reached = observed - 1e-9 * float(np.sum(np.abs(differences)))
    if n <= EXACT_UP_TO:
        return float(np.mean(np.abs(_all_signs(n) @ differences) >= reached))
    random, drawn, signs = generator(name), np.zeros(DRAWS), _all_signs(8)
    # Of every eight sessions a draw is a byte, under each of which their sum is looked up.
    for eight in np.pad(differences, (0, -n % 8)).reshape(-1, 8):
        drawn += (signs @ eight)[random.integers(0, 256, DRAWS, dtype=np.uint8)]
    return (float(np.count_nonzero(np.abs(drawn) >= reached)) + 1) / (DRAWS + 1)


def _all_signs(n: int) -> np.ndarray:
    """Every way to give n values a sign, shape (2^n, n)."""
    return 1 - 2 * (np.arange(2**n)[:, None] >> np.arange(n) & 1)


def holm(p_values: np.ndarray) -> np.ndarray:
    """p values adjusted for all comparisons of one family, in the order given.

    Holm 1979, Scand J Stat 6:65-70. NaN stays NaN and does not count.
    """
    adjusted = np.full(p_values.shape, np.nan)
    known = np.flatnonzero(~np.isnan(p_values))
    rising = known[np.argsort(p_values[known], kind="stable")]
    factors = np.arange(rising.size, 0, -1)
    adjusted[rising] = np.minimum(np.maximum.accumulate(factors * p_values[rising]), 1)
    return adjusted


@dataclass(frozen=True)
class SideAdjusted:
    """The difference of the devices apart from that of the wrists.

    device: A minus B as if each had been on either side equally often. NaN where `confounded`: A
    has only ever been on one side, and device and side cannot be told apart.
    """

    sessions_a_left: int
    sessions_a_right: int
    confounded: bool
    device: float
    device_interval: Interval


def adjust_for_side(differences: np.ndarray, a_on_left: np.ndarray) -> SideAdjusted:
    """Least squares of the differences on a device and a side effect.

    a_on_left: bool, shape (sessions,): A on the left and B on the right, or the reverse. In a
    session with A left the difference is device + side, else device - side. Interval by t
    with sessions - 2 degrees of freedom, NaN without any.
    """
    left, right = differences[a_on_left], differences[~a_on_left]
    if not (left.size and right.size):
        return SideAdjusted(left.size, right.size, True, math.nan, UNKNOWN)
    means = float(np.mean(left)), float(np.mean(right))
    squares = float(np.sum((left - means[0]) ** 2) + np.sum((right - means[1]) ** 2))
    freedom = differences.size - 2
    variance = squares / freedom if freedom else math.nan
    error = math.sqrt(variance * (1 / left.size + 1 / right.size)) / 2
    device = (means[0] + means[1]) / 2
    interval = around(device, t_quantile(freedom) * error)
    return SideAdjusted(left.size, right.size, False, device, interval)
