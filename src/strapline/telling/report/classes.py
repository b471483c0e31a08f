"""What devices are on the market, and standings among those of one class of the tester's."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from strapline.ground.words import plain
from strapline.telling.report.standings import Standing


@dataclass(frozen=True)
class Class:
    """Its name and its standings."""

    name: str
    rows: list[Standing]


def market_words(devices: pd.DataFrame) -> dict[str, str]:
    """By device, 'band, 49 EUR on 2026-05-01, class ‘under 100’', from a frame under DEVICES; ''
    where nothing is said."""
    told = {}
    for row in devices.to_dict("records"):
        price = f"{row['price']:g} {row['currency']} on {row['price_date']}"
        of_class = None if pd.isna(row["class"]) else f"class ‘{row['class']}’"
        parts = [row["form"], None if pd.isna(row["price"]) else price, of_class]
        told[str(row["device"])] = ", ".join(plain(part) for part in parts if not pd.isna(part))
    return told


def classes(devices: pd.DataFrame, standings: Sequence[Standing]) -> list[Class]:
    """Those in which two devices and more were compared at some activity, in order of name."""
    of_device = dict(zip(devices["device"].astype(str), devices["class"], strict=True))
    found = []
    for name in sorted(set(devices["class"].dropna())):
        known = [row for row in standings if not (row.over_all or math.isnan(row.error))]
        own = [row for row in known if of_device[row.device] == name]
        activities = [row.activity for row in own]
        rivals = [row for row in own if activities.count(row.activity) > 1]
        if rivals:
            found.append(Class(plain(name), rivals))
    return found
