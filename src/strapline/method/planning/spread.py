"""What sessions vary by, from the archive's own where it has enough of them."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from strapline.method.agreement.findings import ROUNDING
from strapline.method.planning.precision import Spread

NEEDED = ["bias", "sd_of_differences", "effective_n"]

# With fewer degrees of freedom a variance is too poorly known to plan by. A choice of ours.
FEWEST_FREEDOM = 4

ASSUMED = Spread(of_biases=4.0**2, within=8.0**2, independent=30)
ASSUMPTION = "our own assumption"


@dataclass(frozen=True)
class Ground:
    """A spread and, in words, what it was taken from."""

    spread: Spread
    words: str


def ground(table: pd.DataFrame, device: str, activity: str) -> Ground:
    """The spread to plan this device at this activity by.

    `table` has a row a session and device: device, activity and NEEDED. The cell's own sessions
    go before those of the activity, these before all; variances are pooled within device and
    activity, by degrees of freedom.
    """
    known = table.dropna(subset=NEEDED)
    here = known[known["activity"] == activity]
    own = here[here["device"] == device]
    for rows, words in (
        (own, f"its own {len(own)} sessions"),
        (here, f"{len(here)} recordings at the activity"),
        (known, f"all {len(known)} recordings"),
    ):
        cells = [group for _, group in rows.groupby(["device", "activity"])]
        if sum(len(cell) - 1 for cell in cells) >= FEWEST_FREEDOM:
            return Ground(_pooled(cells, rows), words)
    return Ground(ASSUMED, ASSUMPTION)


def _pooled(cells: list[pd.DataFrame], rows: pd.DataFrame) -> Spread:
    """A session's bias cannot vary by less than its own chance error."""
    freedom = np.array([len(cell) - 1 for cell in cells])
    biases = [cell["bias"].to_numpy(float) for cell in cells]
    squares = [float(np.sum((values - values.mean()) ** 2)) for values in biases]
    count = np.maximum(rows["effective_n"].to_numpy(float), 1.0)
    variance = np.maximum(rows["sd_of_differences"].to_numpy(float) ** 2, ROUNDING)
    within = float(np.average(variance, weights=count))
    return Spread(
        of_biases=max(sum(squares) / float(freedom.sum()), float(np.mean(variance / count))),
        within=within,
        independent=max(float(np.mean(count)), 1.0 + 1e-6),
    )
