"""How much more sessions' figures differ than chance explains."""

from dataclasses import dataclass

import numpy as np


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
