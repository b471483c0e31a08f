"""How near heart rates are that are read from pictures, as `looks_read.csv` beside this module has
it.

That file is what `python -m benchmarks.pictures --recordings FOLDER --table FILE`, run in `tests/`,
writes.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from strapline.ground.words import number, percent

READ_CAPTION = (
    "Curves of known truth, drawn in many looks and read again; of each look the worst. Near: "
    "within 1 bpm or 0.75 pixel, whichever is larger. The limits: 98 % of columns read, 95 % of "
    "these near, the average within 0.5 bpm, the highest within 1.5 bpm. What is held out was not "
    "seen while the reader was made. Where a picture does not confirm the plot’s edges, or which "
    "curve it is, nothing is read, and picture.area or picture.colour is asked for. A curve that "
    "turns more often than its line is thick is cut at its peaks, as one of 86 minutes on 612 "
    "columns. By python -m benchmarks.pictures, run in tests/."
)
_TABLE = Path(__file__).with_name("looks_read.csv")


@dataclass(frozen=True)
class LookRead:
    """In how many of the curves drawn in a look the tester is asked; the worst of the others:
    columns read, and of these near, average and highest off by; and in how many of these all limits
    held."""

    look: str
    asked: str
    read: str
    near: str
    average: str
    highest: str
    held: str


def looks_read() -> list[LookRead]:
    """Those first that were held out when the reader was made."""
    with _TABLE.open(encoding="utf-8", newline="") as file:
        return [_told(row) for row in csv.DictReader(file)]


def _told(row: dict[str, str]) -> LookRead:
    look = f"{row['look']}, held out" if row["looks"] == "held out" else row["look"]
    asked = f"{row['asked']} of {row['curves']}"
    if row["asked"] == row["curves"]:
        return LookRead(look, asked, "–", "–", "–", "–", "–")
    return LookRead(
        look,
        asked,
        percent(100 * float(row["read"])),
        percent(100 * float(row["near"])),
        f"{number(float(row['average_bpm']))} bpm",
        f"{number(float(row['maximum_bpm']))} bpm",
        f"{row['held']} of {int(row['curves']) - int(row['asked'])}",
    )
