"""A row of the tables that the Method page shows of the method's performance."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from typing import NamedTuple, TextIO

SHARE, SECONDS = "1", "s"


class Row(NamedTuple):
    """side: 'at least' or 'at most' what is `wanted`; both empty where nothing was laid down.
    found: a share of 1, or seconds, as `unit` says; told: in what share of the draws there was
    something to judge, None where that is no question."""

    question: str
    scenario: str
    side: str
    wanted: float | str
    found: float
    told: float | None
    draws: int
    unit: str = SHARE


def written(row: Row) -> list[str]:
    told = "" if row.told is None else f"{row.told:.2f}"
    return [*map(str, row[:4]), f"{row.found:.3f}", told, *map(str, row[6:])]


def write(rows: Iterable[Row], file: TextIO) -> None:
    """As comma-separated values, each row as soon as it is known."""
    table = csv.writer(file, lineterminator="\n")
    table.writerow(Row._fields)
    for row in rows:
        table.writerow(written(row))
        file.flush()
