"""A session's intake and an aligned table, made for a test."""

import numpy as np
import pandas as pd

from strapline.ground.records.card import Card
from strapline.ground.records.register import Register
from strapline.ground.tables.sessions import ALIGNED
from strapline.reading.session.inference import describe

START = pd.Timestamp("2026-03-01T10:00:00Z")


def intake(**card):
    return describe("s", "S", [], Card.model_validate(card), Register(), "UTC", {})


def grid(status, device, stands_for=1.0, reference=100.0):
    length = len(status)
    device = np.asarray(device, dtype=float)
    return ALIGNED.frame(
        {
            "recording": ["watch"] * length,
            "device": ["watch"] * length,
            "alignment": ["settled"] * length,
            "time": [START + pd.Timedelta(seconds=n) for n in range(length)],
            "reference_bpm": np.full(length, reference),
            "device_bpm": device,
            "status": status,
            "stands_for_s": np.where(np.isnan(device), 0.0, stands_for),
        }
    )
