"""How well clock offsets are found, on sessions whose truth is known.

    python tests/benchmarks/clock_offset.py [sessions] [seed]

Simulates that many pairs of a strap and a wrist sensor (the demo's sensors and others that share
nothing with them, on random wearers; see tests/unit/signal/invented.py), and half as many pairs
of different workouts for each way in which they may resemble each other. Prints what is
accepted, how far accepted offsets are from the truth, and what is refused and why.

Heart rate tells the clock's error plus the sensor's own constant delay, so that is the truth
here; how far it is from the clock's error alone stands in a table of its own. A fifth of the
pairs are also set off by quarters of an hour, to see how often such shifts are taken back.
"""

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from strapline.method.signal.clocks.heart_rate_search import Demands, search_offset
from strapline.method.signal.clocks.quarters import find_gross_shift
from strapline.method.signal.grid import seconds_spanned
from unit.signal.invented import ACTIVITIES, Pair, paired, unpaired

SEARCH_S, SHORTEST_OVERLAP_S, LONGEST_GAP_S = 90, 60, 10
STRANGERS = ("other workout", "same plan", "other efforts")


def judged(pair: Pair) -> dict[str, object]:
    seconds = seconds_spanned(pair.reference.time_s)
    wider = np.arange(seconds[0] - SEARCH_S, seconds[-1] + SEARCH_S + 1)
    reference = pair.reference.at(seconds, LONGEST_GAP_S)
    device = pair.device.at(wider, LONGEST_GAP_S)
    started = time.thread_time()
    found = search_offset(reference, device, SEARCH_S, SHORTEST_OVERLAP_S)
    row: dict[str, object] = {
        "activity": pair.activity,
        "quality": pair.quality,
        "ms": 1000 * (time.thread_time() - started) * 2700 / seconds.size,
        "outcome": "nothing found",
    }
    if found is None:
        return row
    return row | {
        "outcome": Demands().objection(found) or "accepted",
        "error": found.offset_s - pair.true_offset_s,
        "from_clock": found.offset_s - pair.clock_s,
        "covered": found.low_s <= pair.true_offset_s <= found.high_s,
    }


def same_body(seed: int) -> dict[str, object]:
    return judged(paired(seed))


def two_bodies(kind: str, seed: int) -> dict[str, object]:
    return judged(unpaired(seed, kind))


def mended(seed: int) -> str:
    """What becomes of a clock that is wrong by one of some quarters of an hour."""
    wrong_s = int(np.random.default_rng(seed).choice([-3600, -900, 900, 2700, 3600, 7200, 20700]))
    pair = paired(seed)
    taken = find_gross_shift(pair.reference, pair.device.shifted(wrong_s), SEARCH_S, LONGEST_GAP_S)
    return {-wrong_s: "taken back", 0: "left alone"}.get(taken, "made worse")


def drawn_together(kind: str, seed: int) -> bool:
    """Whether different workouts an hour apart are shifted onto one another."""
    pair = unpaired(seed, kind)
    device = pair.device.shifted(3600)
    return find_gross_shift(pair.reference, device, SEARCH_S, LONGEST_GAP_S) != 0


def share(rows: pd.Series) -> str:
    return f"{rows.mean():7.1%} of {rows.size}" if rows.size else "    none"


def report(same: pd.DataFrame, strangers: dict[str, pd.DataFrame]) -> None:
    accepted = same[same["outcome"] == "accepted"]
    error = accepted["error"].abs()
    good = same[same["quality"] == "good"]
    print(f"accepted, within 1 s of the truth (98 % wanted)       {share(error <= 1)}")
    print(f"accepted, within 3 s of the truth (99.8 % wanted)     {share(error <= 3)}")
    print(
        f"good sensors accepted (90 % wanted)                   {share(good.outcome == 'accepted')}"
    )
    for kind, rows in strangers.items():
        print(f"{kind + ' accepted (at most 1 % wanted)':54}{share(rows.outcome == 'accepted')}")
    print(f"truth inside the 95 % interval, of accepted           {share(accepted['covered'])}")
    print(f"median CPU time for 45 min                            {same['ms'].median():7.0f} ms")
    print("\naccepted / within 1 s / number, by activity and quality of the sensor")
    print(table(same).to_string())
    print("\noutcome by quality of the sensor")
    print(pd.crosstab(same["quality"], same["outcome"]).to_string())
    print("\ndistance of accepted offsets from the clock's error alone, in s: the sensor's delay")
    print(accepted.groupby("quality")["from_clock"].describe()[["50%", "min", "max"]].round(1))


def table(same: pd.DataFrame) -> pd.DataFrame:
    def cell(rows: pd.DataFrame) -> str:
        accepted = rows[rows["outcome"] == "accepted"]
        return f"{len(accepted)}/{(accepted['error'].abs() <= 1).sum()}/{len(rows)}"

    cells = {
        (activity, quality): cell(rows)
        for (activity, quality), rows in same.groupby(["activity", "quality"])
    }
    wide = pd.Series(cells).unstack(fill_value="")
    order = ["good", "gripped", "slow", "fair", "poor", "lost"]
    return wide.reindex(index=list(ACTIVITIES), columns=order).fillna("")


def main(sessions: int, seed: int) -> None:
    with ProcessPoolExecutor() as pool:
        seeds = range(seed, seed + sessions)
        same = pd.DataFrame(pool.map(same_body, seeds, chunksize=20))
        strangers = {
            kind: pd.DataFrame(
                pool.map(partial(two_bodies, kind), seeds[: -(-sessions // 2)], chunksize=20)
            )
            for kind in STRANGERS
        }
        some = seeds[: -(-sessions // 5)]
        gross = pd.Series(pool.map(mended, some, chunksize=10))
        together = {
            kind: pd.Series(pool.map(partial(drawn_together, kind), some, chunksize=10))
            for kind in STRANGERS
        }
    report(same, strangers)
    print("\nclocks wrong by quarters of an hour, any sensor")
    for outcome in ("taken back", "left alone", "made worse"):
        print(f"{outcome:54}{share(gross == outcome)}")
    for kind, rows in together.items():
        print(f"{kind + ', an hour apart, shifted together':54}{share(rows)}")


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*given, *(1000, 1)[len(given) :])
