"""How the main figures would read with nothing cut, and at longer epochs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import METRICS
from strapline.ground.vocabulary import Scope, Status
from strapline.method.metrics.compared import Compared
from strapline.method.metrics.metric_rows import metric_rows
from strapline.method.metrics.view import View, views
from strapline.method.signal.spacing import longest_unit_s

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake
    from strapline.ground.settings import Tolerance


EPOCHS_S = (5, 15, 60)
SENSITIVE = (
    "bias",
    "mae",
    "mape",
    "limit_lower",
    "limit_upper",
    "maximum_difference",
    "within_either",
)


def sensitivity(aligned: pd.DataFrame, intake: SessionIntake, tolerance: Tolerance) -> pd.DataFrame:
    """A frame under METRICS: scope 'uncut', every second in which both have a value, whatever
    speaks against it, and scopes 'epoch:<s>', means over longer epochs of what was compared."""
    rows: list[dict[str, object]] = []
    for view in views(aligned, intake):
        rows += _uncut(view, tolerance)
        for length_s in EPOCHS_S:
            rows += _at_epoch(view, length_s, tolerance)
    return METRICS.from_rows(rows)


def _uncut(view: View, tolerance: Tolerance) -> list[dict[str, object]]:
    is_own = (view.rows["status"] != Status.COPY_OF_REFERENCE).to_numpy()
    both = (view.stands_for_s > 0) & is_own
    sides = view.reference[both], view.device[both]
    every_s = longest_unit_s(view.stands_for_s[both], *sides)
    pairs = sides[0][every_s - 1 :: every_s], sides[1][every_s - 1 :: every_s]
    return _figures(view, Scope.UNCUT, pairs, sides[0].size, tolerance)


def _at_epoch(view: View, length_s: int, tolerance: Tolerance) -> list[dict[str, object]]:
    """No rows for a device that reports too seldom to be averaged."""
    if not view.is_line:
        return []
    reference, device = (
        np.where(view.compared, side, np.nan) for side in (view.reference, view.device)
    )
    pairs = epoch_means(reference, device, length_s)
    return _figures(view, f"{Scope.EPOCH}{length_s}", pairs, pairs[0].size * length_s, tolerance)


def _figures(
    view: View, scope: str, pairs: tuple[np.ndarray, np.ndarray], n: float, tolerance: Tolerance
) -> list[dict[str, object]]:
    if pairs[0].size == 0:
        return []
    return metric_rows(view, scope, Compared(*pairs, tolerance), SENSITIVE, n)


def epoch_means(
    reference: np.ndarray, device: np.ndarray, length_s: int
) -> tuple[np.ndarray, np.ndarray]:
    """Means of both heart rates over epochs of `length_s`, counted from the first second.

    reference, device: bpm at each second, shape (n,), NaN in both where they are not compared.
    An epoch counts if at least half of its seconds are compared (common practice, no source);
    the last one may be shorter than that and then does not. Returns two arrays, shape (m,).
    """
    known = ~np.isnan(reference) & ~np.isnan(device)
    epoch = np.arange(reference.size)[known] // length_s
    count = np.bincount(epoch)
    enough = count >= length_s / 2
    sums = (np.bincount(epoch, weights=rate[known]) for rate in (reference, device))
    ours, theirs = (total[enough] / count[enough] for total in sums)
    return ours, theirs
