"""How well episodes are found, on sessions in which every second's fault is known.

    python tests/benchmarks/episodes.py [sessions] [seed]

See tests/unit/episodes/invented.py for the sessions and their truth. Prints, by kind: recall
(the share of the time of faults of at least 15 s and 10 bpm that is found as that kind),
precision (the share of the time found as that kind that is that kind, whatever its length),
how soon the episode begins, and the table of confusion in seconds. Constants were settled on
seeds below 10000; the default seeds are others.
"""

import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from unit.episodes.scoring import Score, score


def report(scores: list[Score]) -> None:
    table = pd.concat([one.seconds for one in scores]).groupby(["true", "found"])["s"].sum()
    print(f"sessions {len(scores)}, hours {table.sum() / 3600:.0f}")
    print("\nby kind, faults of at least 15 s (spikes: of any length) and 10 bpm")
    print(kinds(scores).round(3).to_string())
    print("\nconfusion, in s: rows are the truth, columns what is found")
    print(table.unstack(fill_value=0).to_string())


def kinds(scores: list[Score]) -> pd.DataFrame:
    faults = pd.concat([one.faults for one in scores])
    found = pd.concat([one.found for one in scores])
    rows = {}
    for kind in sorted({*faults["kind"], *found["kind"]}):
        own, said = faults[faults["kind"] == kind], found[found["kind"] == kind]
        late = (own["onset_s"].abs() <= 5)[own["onset_s"].notna()]
        rows[kind] = {
            "faults": len(own),
            "recall": ratio(own["found_s"], own["s"]),
            "found as any": ratio(own["any_s"], own["s"]),
            "precision": ratio(said["right_s"], said["judged_s"]),
            "onset within 5 s": late.mean() if late.size else np.nan,
        }
    return pd.DataFrame(rows).T


def ratio(part: pd.Series, whole: pd.Series) -> float:
    return float(part.sum() / whole.sum()) if whole.sum() else np.nan


def main(sessions: int, seed: int) -> None:
    with ProcessPoolExecutor() as pool:
        report(list(pool.map(score, range(seed, seed + sessions), chunksize=10)))


if __name__ == "__main__":
    given = [int(argument) for argument in sys.argv[1:]]
    main(*given, *(600, 10_000)[len(given) :])
