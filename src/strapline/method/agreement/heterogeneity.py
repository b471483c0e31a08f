"""How much more figures differ than chance explains: those of sessions, and means of activities."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import special

# No error is believed to be smaller, in the unit of the figure: exact figures cannot be weighed.
LEAST_ERROR = 1e-6


@dataclass(frozen=True)
class Heterogeneity:
    """q: Cochran's, with a degree of freedom fewer than there are estimates where nothing but
    chance is between them; tau2: variance of the true figures; i2: percent of the spread that
    chance does not explain. Of equal or single estimates all are 0."""

    q: float
    tau2: float
    i2: float


def heterogeneity(estimates: np.ndarray, variances: np.ndarray) -> Heterogeneity:
    """By moments. Both of shape (sessions,), in the unit of the figure and its square.

    DerSimonian & Laird 1986, Control Clin Trials 7:177-188; I²: Higgins & Thompson 2002, Stat Med
    21:1539-1558 (from memory, values checked). ValueError for a variance that is not above 0: a
    session that claims to know its figure exactly cannot be weighed.
    """
    if not np.all(variances > 0):
        raise ValueError("sampling variances must be above 0")
    weights, freedom = 1 / variances, estimates.size - 1
    if freedom < 1:
        return Heterogeneity(0.0, 0.0, 0.0)
    total = float(np.sum(weights))
    common = np.average(estimates, weights=weights)
    q = float(np.sum(weights * (estimates - common) ** 2))
    beyond = max(q - freedom, 0.0)
    tau2 = beyond / (total - float(np.sum(weights**2)) / total)
    return Heterogeneity(q, tau2, 100 * beyond / q if q > 0 else 0.0)


def p_of_one_mean(means: np.ndarray, errors: np.ndarray, freedoms: np.ndarray) -> float:
    """Welch's test that means of unequally spread samples are one; NaN for fewer than two, and
    where an error is not known.

    Each of shape (means,): with its standard error, and the error's degrees of freedom. Cochran's q
    takes errors for known, and of few sessions is far too ready to find a difference. Welch 1951,
    Biometrika 38:330-336 (from memory, values checked).
    """
    k = means.size
    if k < 2 or np.isnan(errors).any():
        return math.nan
    weights = 1 / np.maximum(errors, LEAST_ERROR) ** 2
    total = float(np.sum(weights))
    spread = float(np.sum(weights * (means - np.average(means, weights=weights)) ** 2)) / (k - 1)
    unsure = float(np.sum((1 - weights / total) ** 2 / freedoms)) / (k**2 - 1)
    ratio = spread / (1 + 2 * (k - 2) * unsure)
    return float(special.fdtrc(k - 1, 1 / (3 * unsure), ratio))
