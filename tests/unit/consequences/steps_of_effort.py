"""A wearer and a device of whom it is known to the second what they did."""

import numpy as np
import pandas as pd

from strapline.ground.records.card import Body
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.tables.sessions import ALIGNED

BODY = Body(maximum_bpm=200, resting_bpm=50, age_years=40, sex="male", weight_kg=80)
MAXIMUM = MaximumHeartRate(200, "stated")
START = pd.Timestamp("2026-03-04T17:00:00", tz="UTC")

# Of 200 bpm: very light below 114, light from 114, moderate 128, vigorous 154, near maximal 192.
LEVELS = (100.0, 120.0, 140.0, 170.0, 195.0)


def ladder(minutes=(5, 4, 3, 2, 1)):
    """So many minutes on each of LEVELS, a value a second."""
    return np.repeat(LEVELS, np.array(minutes) * 60)


def aligned(reference, device, status=None, stands_for_s=1.0, alignment="settled"):
    """Under ALIGNED; seconds in which the device has no value are `no_device`."""
    reference, device = (np.asarray(side, dtype=float) for side in (reference, device))
    size = device.size
    if status is None:
        status = np.where(np.isnan(device), "no_device", "compared")
    return ALIGNED.frame(
        {
            "recording": np.full(size, "watch", dtype=object),
            "device": np.full(size, "watch", dtype=object),
            "alignment": np.full(size, alignment, dtype=object),
            "time": START + pd.to_timedelta(np.arange(size), unit="s"),
            "reference_bpm": reference,
            "device_bpm": device,
            "status": np.asarray(status, dtype=object),
            "stands_for_s": np.where(np.isnan(device), 0.0, stands_for_s),
        }
    )
