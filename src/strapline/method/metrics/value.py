"""A figure beside its interval."""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Value:
    """Lower and upper end are NaN where there is no interval."""

    value: float
    low: float = math.nan
    high: float = math.nan

    @property
    def known(self) -> bool:
        """Whether there is an interval."""
        return not math.isnan(self.low)

    def turned(self) -> "Value":
        """The same of B minus A in the place of A minus B."""
        return Value(-self.value, -self.high, -self.low)
