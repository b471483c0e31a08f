"""A change from one span of sessions to another, what else differed between them taken off."""

import math

import numpy as np
from scipy import special

from strapline.method.agreement.equivalence import Change, change_between
from strapline.method.agreement.interval import UNKNOWN, around, t_quantile

NOT_TOLD = Change(math.nan, math.nan, math.nan, UNKNOWN, math.nan, math.nan)


def adjusted_change(figures: np.ndarray, after: np.ndarray, factors: np.ndarray) -> Change:
    """The change of a figure, with what was done and who wore it taken off by least squares.

    figures: shape (sessions,); after: bool, which of them are later; factors: words of shape
    (sessions, factors), such as the activity and the wearer. The model is additive: a level for
    each word of each factor, and the change (an analysis of covariance without interactions;
    Searle 1971, Linear Models, from memory); errors are of one size. Where no factor varies it is
    Welch's comparison, which lets both sides differ in spread. NaN where the change cannot be
    told apart from a factor, as where every activity has sessions of one side alone.
    """
    columns = [
        (factor == word).astype(float) for factor in factors.T for word in np.unique(factor)[1:]
    ]
    if not columns:
        return change_between(figures[~after], figures[after])
    levels = np.column_stack([np.ones(figures.size), *columns])
    whole = np.column_stack([after.astype(float), levels])
    rank = int(np.linalg.matrix_rank(whole))
    if rank == np.linalg.matrix_rank(levels):
        return NOT_TOLD
    fitted, *_ = np.linalg.lstsq(whole, figures, rcond=None)
    change, freedom = float(fitted[0]), figures.size - rank
    before = float(np.mean(figures - change * after))
    if freedom == 0:
        return Change(before, before + change, change, UNKNOWN, 0, math.nan)
    variance = float(np.sum((figures - whole @ fitted) ** 2)) / freedom
    error = math.sqrt(variance * float(np.linalg.pinv(whole.T @ whole)[0, 0]))
    p = 2 * float(special.stdtr(freedom, -abs(change) / error)) if error > 0 else math.nan
    interval = around(change, t_quantile(freedom) * error)
    return Change(before, before + change, change, interval, freedom, p)
