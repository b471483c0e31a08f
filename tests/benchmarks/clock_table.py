"""What `python -m benchmarks.clocks --table FILE` writes of the pairs it judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from benchmarks.performance_table import SECONDS, Row

OFF, MOVED = "error of a decided clock, nine in ten within", "a right clock is moved wrongly"
DELAY, HELD = "error of a delay, nine in ten within", "interval of a delay holds the truth"
STRANGER = "another person’s workout sets the clock"
# A clock that was right is moved wrongly by more.
RIGHT_S = 3.0
UNDECIDED = ("refused", "stepping")
# By the evidence there is; of delays, the names of columns.
DELAYS = ("throughout", "rising", "falling")


def table(pairs: Sequence[Mapping[str, Any]], accepted: int, strangers: int) -> Iterator[Row]:
    """Of `pairs` as `clocks.judged` gives them, and of how many strangers were accepted."""
    for kind in dict.fromkeys(pair["kind"] for pair in pairs):
        own = [pair for pair in pairs if pair["kind"] == kind]
        decided = [pair for pair in own if pair["decision"] not in UNDECIDED]
        if decided:
            worst = float(np.percentile([pair["error"] for pair in decided], 90))
            yield Row(OFF, kind, "", "", worst, len(decided) / len(own), len(own), SECONDS)
        right = [pair["moved"] > RIGHT_S for pair in own if pair["right"]]
        if right:
            yield Row(MOVED, kind, "at most", 0, float(np.mean(right)), None, len(right))
    first = [pair for pair in pairs if pair["kind"] == pairs[0]["kind"]]
    for name in DELAYS:
        told = [pair[name] for pair in first if name in pair]
        if told:
            off, held = np.array(told).T
            scenario, share = f"{first[0]['kind']}, {name}", len(told) / len(first)
            worst = float(np.percentile(np.abs(off), 90))
            yield Row(DELAY, scenario, "", "", worst, share, len(first), SECONDS)
            yield Row(HELD, scenario, "", "", float(np.mean(held)), share, len(first))
    yield Row(
        STRANGER, "two people, two workouts", "at most", 0, accepted / strangers, None, strangers
    )
