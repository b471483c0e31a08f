"""How well the method holds in simulations, as `performance.csv` beside this module has it.

That file is what `python -m benchmarks.archive_claims`, run in `tests/`, prints.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.words import number

COMMAND = "python -m benchmarks.archive_claims, run in tests/"
# 1 - .8 ** 8: how often eight sessions show a failure at all.
CEILING = (
    "If one session in five fails, eight sessions show no failure in 17 of 100 archives, and then "
    "no interval made of them holds the truth: 83 % is the most that can be had, and what is found "
    "in 2,000 draws may lie 2 points off it. So what the sessions did not show is told beside each "
    "interval."
)
_TABLE = Path(__file__).with_name("performance.csv")


@dataclass(frozen=True)
class Performance:
    """One scenario, in words and in percent. told: in how many draws there was an interval, or a
    claim could be made."""

    question: str
    scenario: str
    wanted: str
    found: str
    told: str
    draws: str


def performance() -> list[Performance]:
    """Scenario by scenario, in the order of the benchmark."""
    with _TABLE.open(encoding="utf-8", newline="") as file:
        return [_told(row) for row in csv.DictReader(file)]


def _told(row: dict[str, str]) -> Performance:
    least = "at most" if row["question"].startswith("claim") else "at least"
    return Performance(
        row["question"],
        row["scenario"],
        f"{least} {number(100 * float(row['wanted']), decimals=0)} %",
        f"{number(100 * float(row['found']))} %",
        f"{number(100 * float(row['told']), decimals=0)} %",
        row["draws"],
    )
