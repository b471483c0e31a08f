"""What sessions vary by, from the archive's own where it has enough of them."""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from strapline.method.agreement.findings import ROUNDING
from strapline.method.planning.precision import Spread

NEEDED = ["bias", "sd_of_differences", "effective_n"]

# With fewer degrees of freedom a variance is too poorly known to plan by. A choice of ours.
FEWEST_FREEDOM = 4

ASSUMED = Spread(of_biases=4.0**2, within=8.0**2, independent=30)
ASSUMPTION = "our own assumption"

# A spread and, in words, what it was taken from.
Ground = tuple[Spread, str]


@dataclass
class Grounds:
    """The spread to plan each device at each activity by.

    `table` has a row a session and device: device, activity and NEEDED. The cell's own sessions
    go before those of the activity, these before all; variances are pooled within device and
    activity, by degrees of freedom.
    """

    table: pd.DataFrame
    _pooled: dict[tuple[str, ...], Ground | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.known = self.table.dropna(subset=NEEDED)
        self.parts = dict(iter(self.known.groupby(["activity", "device"])))

    def of(self, device: str, activity: str) -> Ground:
        for key, words in (
            ((activity, device), "its own {} sessions"),
            ((activity,), "{} recordings at the activity"),
            ((), "all {} recordings"),
        ):
            if key not in self._pooled:
                self._pooled[key] = self._ground(key, words)
            if found := self._pooled[key]:
                return found
        return ASSUMED, ASSUMPTION

    def _ground(self, key: tuple[str, ...], words: str) -> Ground | None:
        own = [rows for names, rows in self.parts.items() if names[: len(key)] == key]
        if sum(len(rows) - 1 for rows in own) < FEWEST_FREEDOM:
            return None
        return pooled(own), words.format(sum(map(len, own)))


def pooled(cells: list[pd.DataFrame]) -> Spread:
    """A session's bias cannot vary by less than its own chance error."""
    rows = pd.concat(cells)
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
