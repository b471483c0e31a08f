"""A change from one span of sessions to another, each session compared with its like."""

import math

import numpy as np
from scipy import special

from strapline.agreement.equivalence import Change, change_between
from strapline.agreement.interval import around, t_quantile


def change_within_blocks(
    before: np.ndarray,
    after: np.ndarray,
    block_before: np.ndarray,
    block_after: np.ndarray,
    level: float = 0.95,
) -> Change:
    """The change of a figure within blocks (an activity of a wearer), by least squares.

    before, after: shape (sessions,), one figure a session; block_before, block_after: the block
    of each. The model is block + change, so a block weighs by the sessions it has on either side
    (Cochran & Cox 1957, Experimental Designs, from memory), its errors of one size; degrees of
    freedom are sessions - blocks - 1. Within one block it is Welch's comparison, which lets both
    sides differ in spread. Blocks with one side alone must be left out: ValueError. Without a
    session everything is NaN.
    """
    names = np.union1d(block_before, block_after)
    if names.size < 2:
        return change_between(before, after, level)
    groups = [(before[block_before == name], after[block_after == name]) for name in names]
    if not all(early.size and late.size for early, late in groups):
        raise ValueError("a block without sessions on either side says nothing of a change")
    weights = np.array([1 / (1 / early.size + 1 / late.size) for early, late in groups])
    changes = np.array([float(np.mean(late) - np.mean(early)) for early, late in groups])
    change = float(np.average(changes, weights=weights))
    within = sum(_squares(early) + _squares(late) for early, late in groups)
    freedom = before.size + after.size - names.size - 1
    squares = within + float(np.sum(weights * (changes - change) ** 2))
    error = math.sqrt(squares / freedom / float(np.sum(weights)))
    start = float(np.average([np.mean(early) for early, _ in groups], weights=weights))
    p = 2 * float(special.stdtr(freedom, -abs(change) / error)) if error > 0 else math.nan
    interval = around(change, t_quantile(level, freedom) * error)
    return Change(start, start + change, change, interval, freedom, p)


def _squares(values: np.ndarray) -> float:
    return float(np.sum((values - np.mean(values)) ** 2))
