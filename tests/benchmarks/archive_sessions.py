"""Invented sessions for an archive, written fast."""

import datetime as dt
import hashlib
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

DEVICES = ("strap", "harbour", "quay")
ACTIVITIES = ("desk", "intervals", "ride", "run", "strength")
WEARERS = ("ada", "ben", "cleo", "dan")
FIRST_DAY = dt.date(2010, 1, 1)
CARD = """activity: {activity}
wearer: {wearer}
recordings:
  - {{file: strap.csv, device: strap, role: reference, placement: chest}}
  - {{file: harbour.csv, device: harbour, placement: {first}_wrist}}
  - {{file: quay.csv, device: quay, placement: {second}_wrist}}
"""


def write_session(folder: Path, minutes: int) -> None:
    """A card, a strap and two watches that follow it with noise, late, and not always; all by the
    folder's name."""
    seed = int.from_bytes(hashlib.sha256(folder.name.encode()).digest()[:8], "big")
    random = np.random.default_rng(seed)
    seconds = 60 * minutes
    effort = np.repeat(random.uniform(90, 170, minutes), 60)
    rate = lfilter([1 / 30], [1, 1 / 30 - 1], effort, zi=[effort[0] * 29 / 30])[0]
    day = FIRST_DAY + dt.timedelta(days=seed % 5000)
    folder.mkdir(parents=True)
    for device in DEVICES:
        values = rate
        if device != "strap":
            late, lost = random.integers(0, 6), random.integers(0, seconds - 120)
            values = np.roll(rate, late) + random.normal(0, 2, seconds)
            values[lost : lost + 90] -= 25
        write_csv(folder / f"{device}.csv", day, values.round().astype(int))
    wrists = dict(zip(("first", "second"), random.permutation(["left", "right"]), strict=True))
    activity, wearer = random.choice(ACTIVITIES), random.choice(WEARERS)
    (folder / "session.yaml").write_text(CARD.format(activity=activity, wearer=wearer, **wrists))


def write_csv(path: Path, day: dt.date, rates: np.ndarray) -> None:
    start = dt.datetime.combine(day, dt.time(10))
    times = (start + dt.timedelta(seconds=second) for second in range(rates.size))
    rows = (f"{time.isoformat()}Z,{rate}" for time, rate in zip(times, rates, strict=True))
    path.write_text("\n".join(["time,heart_rate", *rows]) + "\n")
