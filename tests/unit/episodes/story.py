"""A strength workout whose whole course is known: one wrist that drops, one watch that reads low.

Invented throughout. The strap rises and falls about 142 bpm, up to 171, for 20 minutes. The wrist
follows for three minutes, stays 45 bpm low until 13:00 but for a spike to 195 at 6:10, and then
follows to the end. The watch is 23 % low from start to end, and traces each peak and trough.
"""

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import ALIGNED

LENGTH_S = 1200
SECONDS = np.arange(LENGTH_S)
DROP_S, SPIKE_S, SPIKE_END_S, BACK_S = 180, 370, 379, 780
STRAP = np.round(142 + 29 * np.sin(2 * np.pi * SECONDS / 120))
START = pd.Timestamp("2026-03-04T17:00:00", tz="UTC")


def wrist() -> np.ndarray:
    """Shape (1200,), in whole bpm."""
    error = np.interp(SECONDS, [0, DROP_S - 1, DROP_S + 2, BACK_S - 3, BACK_S], [0, 0, -45, -45, 0])
    reading = STRAP + np.round(error)
    reading[SPIKE_S:SPIKE_END_S] = 195
    return reading


def watch() -> np.ndarray:
    """Shape (1200,), in whole bpm."""
    return np.round(0.77 * STRAP)


def aligned(**devices: np.ndarray) -> pd.DataFrame:
    """A frame under ALIGNED, each device compared wherever it has a value."""
    return pd.concat([_one(name, device) for name, device in devices.items()], ignore_index=True)


def _one(name: str, device: np.ndarray) -> pd.DataFrame:
    words = {"recording": name, "device": name, "alignment": "settled"}
    return ALIGNED.frame(
        {key: np.full(device.size, word, dtype=object) for key, word in words.items()}
        | {
            "time": START + pd.to_timedelta(np.arange(device.size), unit="s"),
            "reference_bpm": STRAP[: device.size],
            "device_bpm": device,
            "status": np.where(np.isnan(device), "no_device", "compared").astype(object),
            "stands_for_s": np.ones(device.size),
        }
    )
