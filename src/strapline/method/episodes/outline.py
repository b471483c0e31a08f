"""A session in outline: how far off a device was in each part of it."""

import json

import numpy as np

# Equal parts of a session, whatever its length.
PARTS = 40


def outline(error_bpm: np.ndarray) -> str:
    """What COURSES holds of it, from device minus reference by second, shape (n,), NaN where not
    compared: of each part the least and the greatest in whole bpm, null where there is none."""
    parts = (part[~np.isnan(part)] for part in np.array_split(error_bpm, PARTS))
    ends = [
        [round(float(f(part))) for f in (np.min, np.max)] if part.size else None for part in parts
    ]
    return json.dumps(ends, separators=(",", ":"))
