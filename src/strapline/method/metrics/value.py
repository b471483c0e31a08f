"""A figure beside its interval."""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Value:
    """Lower and upper end are NaN where there is no interval."""

    value: float
    low: float = math.nan
    high: float = math.nan
