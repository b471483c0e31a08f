"""Invented sessions for an archive, written fast."""

import datetime as dt
import hashlib
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

SIDES = ("strap", "watch-left", "watch-right")
FIRST_DAY = dt.date(2010, 1, 1)


def write_session(folder: Path, minutes: int) -> None:
    """A strap and two watches that follow it with noise, late, and not always; all by its name."""
    seed = int.from_bytes(hashlib.sha256(folder.name.encode()).digest()[:8], "big")
    random = np.random.default_rng(seed)
    seconds = 60 * minutes
    effort = np.repeat(random.uniform(90, 170, minutes), 60)
    rate = lfilter([1 / 30], [1, 1 / 30 - 1], effort, zi=[effort[0] * 29 / 30])[0]
    day = FIRST_DAY + dt.timedelta(days=seed % 5000)
    folder.mkdir(parents=True)
    for side in SIDES:
        values = rate
        if side != "strap":
            late, lost = random.integers(0, 6), random.integers(0, seconds - 120)
            values = np.roll(rate, late) + random.normal(0, 2, seconds)
            values[lost : lost + 90] -= 25
        write_csv(folder / f"{side}.csv", day, values.round().astype(int))


def write_csv(path: Path, day: dt.date, rates: np.ndarray) -> None:
    start = dt.datetime.combine(day, dt.time(10))
    times = (start + dt.timedelta(seconds=second) for second in range(rates.size))
    rows = (f"{time.isoformat()}Z,{rate}" for time, rate in zip(times, rates, strict=True))
    path.write_text("\n".join(["time,heart_rate", *rows]) + "\n")
