"""What the intervals of FAULTS hold, and how often CONDITIONS sees what is not there.

    python tests/benchmarks/fault_rates.py [archives]

Episodes come by chance in sessions of 20 to 60 minutes, at a rate that differs between sessions
by a gamma distribution (shape 1: as widely as an exponential), and last by another one. A long
simulation gives the true minutes an hour. Over activities these have rates of their own. For
conditions, sessions are dealt to two sides by lot, so every difference shown is a false one.
"""

import sys

import numpy as np
import pandas as pd

from strapline.method.episodes.conditions import difference_within, permutation_p
from strapline.method.episodes.faults import minutes_per_hour

# Episodes an hour, shape of their rate between sessions, mean length in s.
CASES = [(8, 2, 40), (8, 0.7, 40), (3, 1, 60), (1.5, 1, 60)]
SESSIONS = (3, 4, 6, 8, 12, 20)
ACTIVITIES = (2, 4, 8)


def drawn(count: int, case: tuple[float, float, float], chance: np.random.Generator):
    hourly, shape, mean_s = case
    judged_s = chance.uniform(1200, 3600, count)
    often = chance.poisson(chance.gamma(shape, hourly / shape, count) * judged_s / 3600)
    seconds = np.where(often > 0, chance.gamma(2 * np.maximum(often, 1), mean_s / 2), 0.0)
    return pd.DataFrame({"low": np.minimum(seconds, judged_s), "judged_s": judged_s})


def truth(case) -> float:
    table = drawn(400_000, case, np.random.default_rng(9))
    return 60 * table["low"].sum() / table["judged_s"].sum()


def share_held(count, cases, archives, chance) -> float:
    """Of archives with `count` sessions a case and an interval, those it holds the truth in."""
    true = float(np.mean([truth(case) for case in cases]))
    held = []
    for _ in range(archives):
        _, interval = minutes_per_hour([drawn(count, case, chance) for case in cases], "low")
        if not np.isnan(interval.low):
            held.append(interval.low <= true <= interval.high)
    return float(np.mean(held))


def false_differences(each_side, archives, chance) -> tuple[float, float]:
    """Two activities: how often p is below 0.05, and the interval leaves out 0."""
    stratum = np.repeat(["a", "b"], 2 * each_side)
    on_a = np.tile(np.repeat([True, False], each_side), 2)
    found = []
    for place in range(archives):
        tables = [drawn(2 * each_side, case, chance) for case in CASES[1:3]]
        rates = np.concatenate([60 * table["low"] / table["judged_s"] for table in tables])
        p = permutation_p(rates, on_a, stratum, f"{each_side} {place}")
        _, interval = difference_within(rates, on_a, stratum)
        found.append((p < 0.05, not interval.low <= 0 <= interval.high))
    by_p, by_interval = np.mean(found, axis=0)
    return float(by_p), float(by_interval)


def main(archives: int) -> None:
    chance = np.random.default_rng(20)
    print(f"Share of {archives} archives in which the 95 % interval holds the truth, %")
    print("episodes/h, shape, s  " + "".join(f"{n:>7}" for n in SESSIONS) + "  sessions")
    for case in CASES:
        shares = [share_held(n, [case], archives, chance) for n in SESSIONS]
        print(f"{case!s:22}" + "".join(f"{100 * share:7.1f}" for share in shares))
    shares = [share_held(n, CASES[:3], archives, chance) for n in ACTIVITIES]
    print(f"\nOver three activities, {ACTIVITIES} sessions of each")
    print(" " * 22 + "".join(f"{100 * share:7.1f}" for share in shares))
    print("\nDifferences seen that are not there, %: by p, by the interval")
    for each_side in (2, 4, 8):
        by_p, by_interval = false_differences(each_side, archives, chance)
        named = f"2 x {each_side} against 2 x {each_side}"
        print(f"{named:22}{100 * by_p:7.1f}{100 * by_interval:7.1f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
