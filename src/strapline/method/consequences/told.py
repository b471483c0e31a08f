"""One device's rows under CONSEQUENCES, found by quantity."""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, fields
from typing import Any

import pandas as pd

BAND = "band:"


@dataclass(frozen=True)
class Amount:
    """A row: its values, NaN where missing; `at_s` None where it is of the whole session."""

    at_s: int | None
    from_bpm: float
    reference_value: float
    device_value: float
    difference: float
    low: float
    high: float
    n: int


@dataclass(frozen=True)
class Told:
    """`amounts` by quantity, in the order of the table; the many of single peaks under 'peak' and
    'peak_delay' in `peaks`."""

    amounts: dict[str, Amount]
    peaks: dict[str, list[Amount]]

    @classmethod
    def of(cls, consequences: pd.DataFrame, recording: str) -> Told | None:
        """From a frame that holds one view of the clocks; None where it has no such recording."""
        told = cls({}, {"peak": [], "peak_delay": []})
        own = consequences[consequences["recording"] == recording]
        for row in own.to_dict("records"):
            quantity, amount = str(row["quantity"]), _amount(row)
            if amount.at_s is not None and quantity in told.peaks:
                told.peaks[quantity].append(amount)
            else:
                told.amounts[quantity] = amount
        return told if told.amounts else None

    @property
    def seconds(self) -> int:
        """Seconds compared."""
        return self.amounts["wrong_band"].n

    @property
    def wrong(self) -> float:
        """The share of them in which the device is in another band of effort than the strap."""
        return self.amounts["wrong_band"].device_value / (self.seconds / 60)

    def range(self) -> tuple[float, float]:
        """The least and the greatest difference in height at a single peak."""
        differences = [amount.difference for amount in self.peaks["peak"]]
        return min(differences), max(differences)


def _amount(row: Mapping[Hashable, Any]) -> Amount:
    names = [field.name for field in fields(Amount)]
    at_s = None if math.isnan(row["at_s"]) else int(row["at_s"])
    return Amount(**{name: row[name] for name in names} | {"at_s": at_s})
