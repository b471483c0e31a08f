"""How near a heart rate read from a picture is to the curve that was drawn, by look.

    python -m benchmarks.pictures [--recordings FOLDER] [--table FILE]

Run in `tests/`. First the looks and curves that the reader was not made by, then those that it was
made by. Curves are of invented sessions, and, where their folder is given, of real recordings. Each
is drawn as a screen of this width shows it: as means over the time of two columns. What the Method
page shows is in `src/strapline/telling/report/looks_read.csv`, as `--table` writes it. It takes
some five minutes.
"""

import argparse
import csv
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from benchmarks import held_out, more_looks
from strapline.reading.formats import read_export
from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture
from unit.pictures import looks
from unit.pictures.looks import BOTTOM_BPM, PLOT, TOP_BPM, Look, drawn, invented
from unit.pictures.scoring import Score, score

# What the reader was made by.
MADE_BY = ((1470, 7),), {"same_ride/ride.fit": (0, 5160), "fit/wrist_run.fit": (0, 1700)}
HEADINGS = (
    "looks",
    "look",
    "curves",
    "asked",
    "read",
    "near",
    "average_bpm",
    "maximum_bpm",
    "held",
)


class Row(NamedTuple):
    """In how many of a look's curves the tester is asked; of the others the worst: shares read
    and near, and by how much average and maximum are off, NaN where there is none; and in how many
    all limits held."""

    looks: str
    look: str
    curves: int
    asked: int
    read: float
    near: float
    average_bpm: float
    maximum_bpm: float
    held: int


def as_shown(time_s: np.ndarray, rate: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Means over the time of two columns each."""
    edges = np.linspace(time_s[0], time_s[-1], PLOT[2] // 2 + 1)
    place = np.clip(np.digitize(time_s, edges) - 1, 0, edges.size - 2)
    count = np.bincount(place, minlength=edges.size - 1)
    held = count > 0
    middles = (edges[1:] + edges[:-1]) / 2
    return middles[held], (np.bincount(place, rate, edges.size - 1)[held] / count[held])


def recorded(path: Path, part: tuple[int, int]) -> tuple[np.ndarray, np.ndarray]:
    samples = read_export(path).samples.query("heart_rate_bpm > 0")
    second = (samples["time"] - samples["time"].iloc[0]).dt.total_seconds().to_numpy()
    inside = (second >= part[0]) & (second < part[1])
    return second[inside] - part[0], samples["heart_rate_bpm"].to_numpy(float)[inside]


def curves(sessions, stretches, folder: Path | None) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    for seconds, seed in sessions:
        yield as_shown(*invented(seconds, seed))
    for name, part in stretches.items() if folder else ():
        yield as_shown(*recorded(folder / name, part))


def judged(look: Look, time_s: np.ndarray, rate: np.ndarray) -> Score | None:
    """None where the tester is asked, for the area or the colour, and nothing is read."""
    try:
        curve = curve_in(pixels_of(drawn(look, time_s, rate)))
    except UnreadablePicture:
        return None
    return score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM)


def rows(folder: Path | None) -> Iterator[Row]:
    sets = (
        ("held out", held_out.LOOKS, (held_out.SESSIONS, held_out.STRETCHES)),
        ("made by", more_looks.LOOKS, (more_looks.SESSIONS, more_looks.STRETCHES)),
        ("made by", looks.LOOKS, MADE_BY),
    )
    for name, own, (sessions, stretches) in sets:
        drawn_from = list(curves(sessions, stretches, folder))
        for look in own:
            yield worst(name, look, [judged(look, *curve) for curve in drawn_from])


def worst(name: str, look: Look, judgements: list[Score | None]) -> Row:
    found = [one for one in judgements if one]
    return Row(
        name,
        look.name,
        len(judgements),
        len(judgements) - len(found),
        min((one.read for one in found), default=np.nan),
        min((one.near for one in found), default=np.nan),
        max((abs(one.average_bpm) for one in found), default=np.nan),
        max((abs(one.maximum_bpm) for one in found), default=np.nan),
        sum(one.holds for one in found),
    )


def main() -> None:
    parser = argparse.ArgumentParser(description="How near pictures are read, by look.")
    parser.add_argument("--recordings", type=Path)
    parser.add_argument("--table", type=Path)
    asked = parser.parse_args()
    found = []
    print(f"{'':46} read % near %  average  maximum, bpm off at most   asked  limits held")
    for row in rows(asked.recordings):
        print(
            f"{row.looks:9} {row.look:36} {100 * row.read:6.1f} {100 * row.near:6.1f}"
            f"{row.average_bpm:9.2f}{row.maximum_bpm:9.2f}{'':20}{row.asked:5}"
            f"{row.held:6} of {row.curves - row.asked}",
            flush=True,
        )
        found.append(row)
    if asked.table:
        with asked.table.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(Row._fields)
            writer.writerows(
                [f"{value:.3f}" if isinstance(value, float) else value for value in row]
                for row in found
            )


if __name__ == "__main__":
    main()
