"""Where the seconds went that were neither compared nor in an episode: none of it is a fault."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.ground.words import lasting, listed, plain
from strapline.method.episodes.sentence_length import in_sentences

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


# What is missing of the middle of a session is told with its first words from this share on.
MUCH = 0.1
START = "Not compared, through no fault of the device:"


def not_compared(status: np.ndarray, aside: np.ndarray) -> dict[str, Any]:
    """The seconds `aside`, a mask of shape (n,), by what became of them: PARTS, which sum up to all
    of them; and why the card leaves some out. status: as in ALIGNED, shape (n,)."""
    counts = dict.fromkeys(PARTS, 0)
    reasons = []
    for word, count in zip(*np.unique(status[aside].astype(str), return_counts=True), strict=True):
        excluded = word.startswith(Status.EXCLUDED)
        part = "left_out_s" if excluded else _OF_STATUS.get(word, "strap_in_doubt_s")
        counts[part] += int(count)
        reasons += [plain(word.removeprefix(Status.EXCLUDED))] if excluded else []
    return counts | {"left_out_why": listed(reasons) or None}


def in_words(course: pd.Series) -> list[str]:
    """'3 min before its recording began', '40 s left out by the card (rain)', from a row of
    COURSES."""
    said = {part: f"{lasting(course[part])} {what}" for part, what in PARTS.items() if course[part]}
    if course["left_out_s"] and course["left_out_why"]:
        said["left_out_s"] += f" ({course['left_out_why']})"
    return list(said.values())


def much_is_left(course: pd.Series) -> bool:
    """Whether whoever hears of the session must hear that part of it was not compared."""
    return bool(course["left_out_s"] or course["not_compared_s"] > MUCH * course["length_s"])


def left_sentences(course: pd.Series) -> Iterator[str]:
    """What was not compared, and why."""
    return in_sentences(START, in_words(course), "Nor were")
