"""One figure from many sessions of several wearers: random effects on two levels."""

import math
from dataclasses import dataclass

import numpy as np
from scipy import optimize

from strapline.method.agreement.interval import UNKNOWN, Interval, around, t_quantile
from strapline.method.agreement.pooling import check_variances, pool

# Shares of the whole variance between and within groups from which the likelihood is climbed.
STARTS = ((0.5, 0.5), (0.01, 1.0), (1.0, 0.01))


@dataclass(frozen=True)
class PooledInGroups:
    """A mean over wearers, each with several sessions.

    between_groups, within_groups: variances of true figures between wearers, and between the
    sessions of one. prediction: for a session of a further wearer. With one wearer interval
    and prediction are NaN: one person says nothing of others.
    """

    groups: int
    sessions: int
    estimate: float
    standard_error: float
    interval: Interval
    prediction: Interval
    between_groups: float
    within_groups: float


def pool_in_groups(
    estimates: np.ndarray, variances: np.ndarray, group: np.ndarray, *, level: float = 0.95
) -> PooledInGroups:
    """Random effects on two levels by REML; t with groups - 1 degrees of freedom.

    group: shape (k,), the wearer of each session. The three-level model of Konstantopoulos
    2011, Res Synth Methods 2:61-76 (from memory). Its standard error is not taken below the
    one that pools sessions without regard to wearers: few groups can by chance look alike.
    Raises ValueError for no session.
    """
    check_variances(variances)
    if not estimates.size:
        raise ValueError("no session to pool")
    names, member = np.unique(group, return_inverse=True)
    levels = TwoLevels(estimates, variances, member)
    groups = names.size
    single = pool(estimates, variances, never_narrower=True)
    if groups == 1:
        return PooledInGroups(
            1,
            estimates.size,
            single.estimate,
            single.standard_error,
            UNKNOWN,
            UNKNOWN,
            math.nan,
            single.tau2,
        )
    between, within = levels.fitted()
    estimate, error = levels.mean(between, within)
    error = max(error, single.standard_error)
    quantile = t_quantile(level, groups - 1)
    spread = math.sqrt(between + within + error**2)
    return PooledInGroups(
        groups=groups,
        sessions=estimates.size,
        estimate=estimate,
        standard_error=error,
        interval=around(estimate, quantile * error),
        prediction=around(estimate, quantile * spread),
        between_groups=between,
        within_groups=within,
    )


@dataclass(frozen=True)
class TwoLevels:
    """Estimates of sessions with their variances, and the group of each, numbered from 0; all of
    shape (k,)."""

    estimates: np.ndarray
    variances: np.ndarray
    member: np.ndarray

    def fitted(self) -> tuple[float, float]:
        """The variances between and within groups of the largest restricted likelihood."""
        scale = max(float(np.var(self.estimates)), float(np.mean(self.variances)))

        def scaled(parts: np.ndarray) -> tuple[float, np.ndarray]:
            value, slope = self.deviance(*(parts * scale))
            return value, slope * scale

        limits = optimize.Bounds([0.0, 0.0], [np.inf, np.inf])
        fits = [
            optimize.minimize(
                scaled,
                np.array(start),
                jac=True,
                bounds=limits,
                method="L-BFGS-B",
                options={"ftol": 1e-14, "gtol": 1e-9},
            )
            for start in STARTS
        ]
        between, within = min(fits, key=lambda fit: float(fit.fun)).x * scale
        return float(between), float(within)

    def mean(self, between: float, within: float) -> tuple[float, float]:
        _, _, means, weights = self._by_group(between, within)
        return float(np.average(means, weights=weights)), float(np.sum(weights) ** -0.5)

    def _by_group(
        self, between: float, within: float
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Weights of sessions, their sums, means and the weights of means, by group."""
        weights = 1 / (self.variances + within)
        sums = np.bincount(self.member, weights)
        means = np.bincount(self.member, weights * self.estimates) / sums
        return weights, sums, means, sums / (1 + between * sums)

    def deviance(self, between: float, within: float) -> tuple[float, np.ndarray]:
        """-2 restricted log likelihood, up to a constant, and its slope in both variances.

        With P = V⁻¹ - V⁻¹1(1'V⁻¹1)⁻¹1'V⁻¹ the slope in a variance of which V holds D is
        tr(PD) - y'PDPy (Harville 1977, J Am Stat Assoc 72:320-338, from memory).
        """
        weights, sums, means, of_groups = self._by_group(between, within)
        total = float(np.sum(of_groups))
        mean = np.average(means, weights=of_groups)
        inside, outside = self.estimates - means[self.member], means - mean
        value = float(
            -np.sum(np.log(weights))
            + np.sum(np.log1p(between * sums))
            + np.log(total)
            + np.sum(weights * inside**2)
            + np.sum(of_groups * outside**2)
        )
        share = (of_groups / sums)[self.member]
        py = weights * (inside + share * outside[self.member])
        trace = (
            np.sum(weights - between * share * weights**2) - np.sum((weights * share) ** 2) / total
        )
        of_within = trace - np.sum(py**2)
        of_between = np.sum(of_groups - of_groups**2 / total) - np.sum((of_groups * outside) ** 2)
        return value, np.array([of_between, of_within])
