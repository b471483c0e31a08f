"""Invented workouts, wearers and wrist sensors, beside those of the demo.

Nothing here is shared with the demo's sensors, so that what is tested on both is not tuned to
one of them. A reading is made in two steps: the response (late and smooth, without fault or
error), by which the true offset is known, and what the faults leave of it. All numbers are
invented.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.signal import lfilter

Rates = np.ndarray
Chance = np.random.Generator


@dataclass(frozen=True)
class Effort:
    """Shares of heart rate reserve, grip (0 to 1) and steps a minute, one value a second."""

    share: Rates
    grip: Rates
    steps: Rates


def phases(chance: Chance, kind: str) -> list[tuple[float, float, float, float]]:
    """(seconds, effort, grip, steps) of a workout of random structure."""
    def near(value: float, by: float = 0.2) -> float:
        return value * chance.uniform(1 - by, 1 + by)

    if kind == "circuit":
        sets = [
            phase
            for _ in range(chance.integers(10, 18))
            for phase in ((near(45, 0.5), near(0.7), 1.0, 0.0), (near(80, 0.5), near(0.3), 0.0, 0.0))
        ]
        return [(near(200), 0.3, 0.0, 0.0), *sets, (near(120), 0.2, 0.0, 0.0)]
    if kind == "fartlek":
        bouts = [
            phase
            for _ in range(chance.integers(6, 12))
            for phase in ((near(70, 0.6), near(0.85, 0.12), 0.0, near(178, 0.04)),
                          (near(120, 0.6), near(0.5), 0.0, near(150, 0.04)))
        ]
        return [(near(400), 0.5, 0.0, 150.0), *bouts, (near(150), 0.25, 0.0, 0.0)]
    if kind == "steady":
        return [(near(90), 0.2, 0.0, 0.0), (near(1500, 0.4), near(0.65, 0.1), 0.0, near(165, 0.05)),
                (near(150), 0.3, 0.0, 110.0)]
    calm = [(near(240, 0.7), near(0.15, 0.5), 0.0, 0.0) for _ in range(chance.integers(6, 10))]
    return [*calm, (near(120), 0.35, 0.0, 105.0), (near(300), 0.12, 0.0, 0.0)]
