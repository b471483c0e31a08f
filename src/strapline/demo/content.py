"""What a device's app would put into an export, before it has a format."""

import datetime as dt
from dataclasses import dataclass, field

import numpy as np

from strapline.demo.bench import Sport
from strapline.demo.physiology import Floats


@dataclass(frozen=True)
class Content:
    """The content of one export.

    start
        The session's start on the device's own clock, in UTC.
    second
        Seconds from `start` of the samples, shape (n,).
    heart_rate_bpm, cadence_per_min
        Whole numbers, shape (n,); NaN where there is none.
    distance_m
        Metres gone, shape (n,); NaN where the device does not tell.
    beat_s, rr_ms
        Ends of RR intervals in s from `start`, and the intervals; empty if not recorded.
    """

    product: str
    serial: int
    sport: Sport
    start: dt.datetime
    second: Floats
    heart_rate_bpm: Floats
    cadence_per_min: Floats
    distance_m: Floats
    beat_s: Floats = field(default_factory=lambda: np.empty(0))
    rr_ms: Floats = field(default_factory=lambda: np.empty(0))

    def moments(self) -> list[dt.datetime]:
        """Times of the samples on the device's clock, in UTC."""
        return [self.start + dt.timedelta(seconds=s) for s in self.second.tolist()]


def whole(value: float) -> int | None:
    """The value as exports store it, None for NaN."""
    return None if np.isnan(value) else round(value)
