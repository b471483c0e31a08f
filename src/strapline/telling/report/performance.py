"""How well the method does in simulations, as the tables beside this module have it.

Each is what its command, run in `tests/`, prints or with `--table` writes.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.words import number

# 1 - .8 ** 8: how often eight sessions show a failure at all.
CEILING = (
    "Where one session in five fails, an interval from eight sessions holds the true bias less "
    "often than its 95 % say. Eight sessions show no failure in 17 of 100 archives; nothing in "
    "them then tells of failures, and their interval misses the truth. 83 % is the most that can "
    "be had, and what is found in 2,000 draws may by chance lie 2 points off it. With fifteen "
    "sessions 4 of 100 archives show no failure. So beside each interval stands how often a "
    "device may fail although no session, or few, showed it: read both together."
)
PERFORMANCE_CAPTION = (
    "Sessions are invented, so that the truth is known. An interval is made for 95 %; what is "
    "wanted is less where sessions fail or spread unevenly, for a few sessions cannot show all of "
    "that. What is found errs by chance: at 95 % by up to 1.9 points in 500 draws, at 6 % by up to "
    "1.0 in 2,000. Draws are sessions, archives, faults or pairs of recordings. Each part is what "
    "the command above it prints, run in tests/."
)
SHARE, NOTHING = "1", "–"
# Of each table: what it is about, its file, and the command that it is from.
OF_EACH = (
    ("Intervals and claims", "performance.csv", "python -m benchmarks.archive_claims"),
    ("Faults", "faults_found.csv", "python -m benchmarks.episodes"),
    ("Clocks and delays", "clocks_set.csv", "python -m benchmarks.clocks"),
)


@dataclass(frozen=True)
class Performance:
    """One scenario, in words. wanted: '–' where nothing was laid down before; told: in how many
    draws there was an interval, a claim could be made, or something was decided."""

    question: str
    scenario: str
    wanted: str
    found: str
    told: str
    draws: str


@dataclass(frozen=True)
class Measured:
    """What one benchmark found, scenario by scenario, and the command that prints it."""

    what: str
    command: str
    rows: Sequence[Performance]


def performance() -> list[Measured]:
    """Benchmark by benchmark."""
    beside = Path(__file__).parent
    return [Measured(what, command, read(beside / name)) for what, name, command in OF_EACH]


def read(path: Path) -> list[Performance]:
    """What a benchmark wrote."""
    with path.open(encoding="utf-8", newline="") as file:
        return [_told(row) for row in csv.DictReader(file)]


def _told(row: dict[str, str]) -> Performance:
    unit = row["unit"]
    wanted = f"{row['side']} {_figure(row['wanted'], unit, 0)}" if row["wanted"] else NOTHING
    told = _figure(row["told"], SHARE, 0) if row["told"] else NOTHING
    found = _figure(row["found"], unit)
    return Performance(row["question"], row["scenario"], wanted, found, told, row["draws"])


def _figure(written: str, unit: str, decimals: int = 1) -> str:
    value = float(written)
    if unit == SHARE:
        return f"{number(100 * value, decimals=decimals)} %"
    return f"{number(value, decimals=decimals)} {unit}"
