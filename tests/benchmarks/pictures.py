"""How near a heart rate read from a picture is to the curve that was drawn, by look.

    PYTHONPATH=src:tests python tests/benchmarks/pictures.py [recording ...]

Without recordings, of an invented session. A recording is drawn as a screen of this width shows it:
as means over the time of two columns.
"""

import sys
from pathlib import Path

import numpy as np

from strapline.reading.formats import read_export
from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.unreadable import UnreadablePicture
from unit.pictures.looks import BOTTOM_BPM, LOOKS, PLOT, TOP_BPM, drawn, invented
from unit.pictures.scoring import Score, score


def recorded(path: Path) -> tuple[np.ndarray, np.ndarray]:
    """Seconds since the first heart rate, and means in bpm over two columns each."""
    samples = read_export(path).samples.query("heart_rate_bpm > 0")
    seconds = (samples["time"] - samples["time"].iloc[0]).dt.total_seconds().to_numpy()
    edges = np.linspace(seconds.min(), seconds.max(), PLOT[2] // 2 + 1)
    place = np.clip(np.digitize(seconds, edges) - 1, 0, edges.size - 2)
    rates = samples["heart_rate_bpm"].groupby(place).mean()
    middles = (edges[1:] + edges[:-1]) / 2
    return middles[rates.index.to_numpy()], rates.to_numpy()


def told(found: Score) -> str:
    figures = f"{100 * found.read:6.1f} {100 * found.near:6.1f}"
    off = f"{found.average_bpm:+8.2f} {found.maximum_bpm:+8.2f}"
    return f"{figures} {off}{'' if found.holds else '   beyond the limits'}"


def main() -> None:
    curves = {path: recorded(Path(path)) for path in sys.argv[1:]} or {"invented": invented()}
    for number, (time_s, rate) in enumerate(curves.values(), 1):
        print(f"Curve {number}{'':23} read % near %  average  maximum, bpm off")
        for look in LOOKS:
            try:
                curve = curve_in(pixels_of(drawn(look, time_s, rate)))
            except UnreadablePicture as reason:
                print(f"{look.name:30} {reason}")
                continue
            print(f"{look.name:30} {told(score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM))}")


if __name__ == "__main__":
    main()
