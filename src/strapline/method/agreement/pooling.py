"""One figure from many sessions (or wearers): random effects, heterogeneity, prediction.

Each session gives an estimate and its sampling variance, arrays of shape (k,), in the unit of
the figure and its square. Variances must be above 0, else ValueError: a session that claims to
know its figure exactly cannot be weighed.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import optimize, special

from strapline.method.agreement.interval import (
    UNKNOWN,
    Interval,
    around,
    normal_quantile,
    t_quantile,
)

Method = Literal["REML", "DL"]
GRID = 200


@dataclass(frozen=True)
class Pooled:
    """A mean over sessions and what to expect of the next one.

    interval: of the mean; prediction: for the true figure of a further session. tau2: variance
    between sessions; i2: percent of the variance of estimates that is between sessions; q with
    its degrees of freedom and p: Cochran's test of no variance between. With one session the
    estimate is its own and everything about others is NaN; with none all is NaN.
    """

    sessions: int
    estimate: float
    standard_error: float
    interval: Interval
    prediction: Interval
    tau2: float
    i2: float
    q: float
    q_freedom: int
    q_p: float


def pool(
    estimates: np.ndarray,
    variances: np.ndarray,
    *,
    method: Method = "REML",
    hartung_knapp: bool = True,
    never_narrower: bool = False,
    prediction_freedom: int | None = None,
    level: float = 0.95,
) -> Pooled:
    """Random-effects mean of k estimates.

    tau² by restricted maximum likelihood (REML: Viechtbauer 2005, J Educ Behav
    Stat 30:261-293) or by moments (DL: DerSimonian & Laird 1986, Control Clin Trials 7:177-188).
    With `hartung_knapp` the standard error is that of Hartung & Knapp 2001, Stat Med
    20:3875-3889, with t on k - 1 degrees of freedom, else the interval is normal. It can be
    next to nothing where a few estimates happen to be equal; with `never_narrower` it is not
    taken below the plain one (Röver, Knapp & Friede 2015, BMC Med Res Methodol 15:99).
    I²: Higgins & Thompson 2002, Stat Med 21:1539-1558, from tau² and the typical sampling
    variance.
    Prediction: estimate ± t root(tau² + SE²), with k - 1 degrees of freedom as IntHout et al.
    2016, BMJ Open 6:e010247, unless given (k - 2 as Higgins et al. 2009, J R Stat Soc A
    172:137-159). All formulas from memory, values checked.

    Simulated with 10 sessions, the prediction holds the next true figure in 94 % of cases where
    sampling variances are a tenth of tau² or less, in 87 % where they are about as large as it:
    tau² is then too poorly known.
    """
    k = estimates.size
    check_variances(variances)
    if k < 2:
        return _single(estimates, variances)
    q, typical, moments = _heterogeneity(estimates, variances)
    tau2 = moments if method == "DL" else _reml(estimates, variances)
    weights = 1 / (variances + tau2)
    estimate = float(np.average(estimates, weights=weights))
    if hartung_knapp:
        spread = float(np.sum(weights * (estimates - estimate) ** 2)) / (k - 1)
        spread = max(spread, 1.0) if never_narrower else spread
        error, quantile = math.sqrt(spread / np.sum(weights)), t_quantile(level, k - 1)
    else:
        error, quantile = math.sqrt(1 / np.sum(weights)), normal_quantile(level)
    freedom = k - 1 if prediction_freedom is None else prediction_freedom
    return Pooled(
        sessions=k,
        estimate=estimate,
        standard_error=error,
        interval=around(estimate, quantile * error),
        prediction=around(estimate, t_quantile(level, freedom) * math.hypot(error, tau2**0.5)),
        tau2=tau2,
        i2=100 * tau2 / (tau2 + typical),
        q=q,
        q_freedom=k - 1,
        q_p=float(special.chdtrc(k - 1, q)),
    )


def check_variances(variances: np.ndarray) -> None:
    """Raises ValueError for one that is not above 0."""
    if not np.all(variances > 0):
        raise ValueError("sampling variances must be above 0")


def _single(estimates: np.ndarray, variances: np.ndarray) -> Pooled:
    nan, k = math.nan, estimates.size
    value = float(estimates[0]) if k else nan
    error = math.sqrt(variances[0]) if k else nan
    return Pooled(k, value, error, UNKNOWN, UNKNOWN, nan, nan, nan, 0, nan)


def _heterogeneity(estimates: np.ndarray, variances: np.ndarray) -> tuple[float, float, float]:
    """Cochran's Q, the typical sampling variance, and tau² by moments."""
    weights, k = 1 / variances, estimates.size
    total, squares = float(np.sum(weights)), float(np.sum(weights**2))
    common = np.average(estimates, weights=weights)
    q = float(np.sum(weights * (estimates - common) ** 2))
    scale = total - squares / total
    return q, (k - 1) / scale, max((q - (k - 1)) / scale, 0.0)


def _reml(estimates: np.ndarray, variances: np.ndarray) -> float:
    """The tau² of the largest restricted likelihood, which may have more than one peak: the
    highest of a grid, then the root of the score beside it."""
    most = float(np.sum((estimates - np.mean(estimates)) ** 2) + np.max(variances))
    grid = np.concatenate([[0.0], np.geomspace(1e-6 * np.min(variances), most, GRID)])
    deviances, scores = _restricted(estimates, variances, grid)
    best = int(np.argmin(deviances))
    low, high = max(best - 1, 0), min(best + 1, GRID)

    def score(tau2: float) -> float:
        return float(_restricted(estimates, variances, np.array([tau2]))[1][0])

    if scores[low] <= 0:
        return float(grid[low])
    return float(optimize.brentq(score, grid[low], grid[high], xtol=1e-14, rtol=1e-14))


def _restricted(
    estimates: np.ndarray, variances: np.ndarray, tau2: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """-2 log restricted likelihood up to a constant, and twice its score, for each tau²."""
    weights = 1 / (variances + tau2[:, None])
    total = weights.sum(axis=1)
    residual = estimates - (weights @ estimates / total)[:, None]
    deviance = (weights * residual**2 - np.log(weights)).sum(axis=1) + np.log(total)
    score = ((weights * residual) ** 2).sum(axis=1) - total + (weights**2).sum(axis=1) / total
    return deviance, score
