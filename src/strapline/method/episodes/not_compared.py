"""Where the seconds went that were neither compared nor in an episode: none of it is a fault."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.ground.words import lasting

# Column of COURSES -> what a sentence calls it.
PARTS: dict[str, str] = {
    "before_s": "before its recording began",
    "after_s": "after its recording ended",
    "left_out_s": "left out by the card",
    "clock_unknown_s": "in which nothing tells its clock",
    "strap_in_doubt_s": "in which the strap was missing or in doubt",
    "short_gaps_s": "in gaps too short to be a fault",
}
_OF_STATUS = {
    Status.BEFORE_RECORDING: "before_s",
    Status.AFTER_RECORDING: "after_s",
    Status.CLOCK_STEPS: "clock_unknown_s",
    Status.NO_DEVICE: "short_gaps_s",
}


def not_compared(status: np.ndarray, aside: np.ndarray) -> dict[str, int]:
    """The seconds `aside`, a mask of shape (n,), by what became of them: PARTS, which sum up to all
    of them. status: as in ALIGNED, shape (n,)."""
    counts = dict.fromkeys(PARTS, 0)
    for word, count in zip(*np.unique(status[aside].astype(str), return_counts=True), strict=True):
        excluded = word.startswith(Status.EXCLUDED)
        part = "left_out_s" if excluded else _OF_STATUS.get(word, "strap_in_doubt_s")
        counts[part] += int(count)
    return counts


def in_words(course: pd.Series | Mapping[str, int]) -> list[str]:
    """'3 min before its recording began', '40 s left out by the card', from a row of COURSES."""
    return [f"{lasting(course[part])} {what}" for part, what in PARTS.items() if course[part]]
