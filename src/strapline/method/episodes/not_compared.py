"""Where the seconds went that were neither compared nor in an episode: none of it is a fault."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.ground.words import lasting, listed, plain
from strapline.method.episodes.spoken import in_sentences

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


# From this share on, what is missing is told with a session's first words, less the trifles in it.
MUCH, TRIFLE = 0.05, 0.01
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
        reasons += [_reason(word)] if excluded else []
    return counts | {"left_out_why": listed(reasons) or None}


def _reason(word: str) -> str:
    """The card's own, to stand within a sentence."""
    return plain(word.removeprefix(Status.EXCLUDED)).rstrip(" .")


def left_out(course: pd.Series) -> tuple[list[str], list[str]]:
    """What was not compared, and why, from a row of COURSES, in sentences: those for whoever hears
    no more of the session, none where next to all was compared, and the others."""
    length_s = course["length_s"]
    much = course["not_compared_s"] > MUCH * length_s
    first = [
        part
        for part in PARTS
        if part == "left_out_s" or (much and course[part] > TRIFLE * length_s)
    ]
    others = [part for part in PARTS if part not in first]
    return _sentences(course, first), _sentences(course, others)


def _sentences(course: pd.Series, parts: Sequence[str]) -> list[str]:
    said = {part: f"{lasting(course[part])} {PARTS[part]}" for part in parts if course[part]}
    if "left_out_s" in said and course["left_out_why"]:
        said["left_out_s"] += f", which says ‘{course['left_out_why']}’"
    return list(in_sentences(START, list(said.values()), "Nor were"))
