"""How well episodes are found, on sessions in which every second's fault is known.

    python -m benchmarks.episodes [sessions] [seed] [--table FILE]

Run in `tests/`. See tests/unit/episodes/invented.py for the sessions and their truth. Prints, by
kind: recall (the share of the time of faults of at least 15 s and 10 bpm that is found as that
kind), precision (the share of the time found as that kind that is it, whatever its length), how
soon the episode begins, and the table of confusion in seconds. Constants were settled on seeds
below 10000; the default seeds are others. What the Method page shows is in
`src/strapline/telling/report/faults_found.csv`, as `--table` writes it.
"""

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pandas as pd

from benchmarks.performance_table import Row, write
from strapline.ground.words import in_words
from unit.episodes.scoring import Score, score

RECALL = "time of known faults that is found as this kind"
PRECISION = "time found as this kind that is it"


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
            "episodes": len(said),
            "recall": ratio(own["found_s"], own["s"]),
            "found as any": ratio(own["any_s"], own["s"]),
            "precision": ratio(said["right_s"], said["judged_s"]),
            "onset within 5 s": late.mean() if late.size else np.nan,
        }
    return pd.DataFrame(rows).T


def ratio(part: pd.Series, whole: pd.Series) -> float:
    return float(part.sum() / whole.sum()) if whole.sum() else np.nan


def table(by_kind: pd.DataFrame) -> Iterator[Row]:
    """Of `kinds`: how much of each kind is found, and how much of what is found is right."""
    for kind, row in by_kind.iterrows():
        for question, name, cases in (
            (RECALL, "recall", "faults"),
            (PRECISION, "precision", "episodes"),
        ):
            if row[cases]:
                yield Row(question, in_words(kind), "", "", row[name], None, int(row[cases]))


def main() -> None:
    parser = argparse.ArgumentParser(description="How well faults are found.")
    parser.add_argument("sessions", type=int, nargs="?", default=600)
    parser.add_argument("seed", type=int, nargs="?", default=10_000)
    parser.add_argument("--table", type=Path)
    asked = parser.parse_args()
    with ProcessPoolExecutor() as pool:
        seeds = range(asked.seed, asked.seed + asked.sessions)
        scores = list(pool.map(score, seeds, chunksize=10))
    report(scores)
    if asked.table:
        with asked.table.open("w", encoding="utf-8", newline="") as file:
            write(table(kinds(scores)), file)


if __name__ == "__main__":
    main()
