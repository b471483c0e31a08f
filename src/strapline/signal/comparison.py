"""Reference and device on one grid, in both views of the clocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.signal.flags import KEPT
from strapline.signal.grid import epoch_seconds, seconds_spanned, times_of, values_at
from strapline.tables import ALIGNED

if TYPE_CHECKING:
    from strapline.session.card import Exclusion

COMPARED = "compared"


@dataclass(frozen=True)
class Trace:
    """Usable heart rates of one recording: seconds since the epoch, ascending, and bpm."""

    time_s: np.ndarray
    rate: np.ndarray

    @classmethod
    def of(cls, normalised: pd.DataFrame) -> Trace:
        kept = normalised[normalised["flag"] == KEPT]
        return cls(epoch_seconds(kept["time"]), kept["heart_rate_bpm"].to_numpy())

    def shifted(self, offset_s: float) -> Trace:
        return Trace(self.time_s + offset_s, self.rate)

    def at(self, seconds: np.ndarray, longest_gap_s: float) -> np.ndarray:
        return values_at(seconds, self.time_s, self.rate, longest_gap_s)


def compare(
    reference: Trace,
    device: Trace,
    names: dict[str, str],
    exclude: Sequence[Exclusion],
    longest_gap_s: float,
) -> pd.DataFrame:
    """One row a second of the reference's span, under ALIGNED.

    `names` gives recording, device and alignment. A second is compared when both sides have a
    value and the card does not exclude it; else its status is the first of: the exclusion and
    its reason, 'no_reference', 'no_device'.
    """
    seconds = seconds_spanned(reference.time_s)
    reference_bpm = reference.at(seconds, longest_gap_s)
    device_bpm = device.at(seconds, longest_gap_s)
    status = np.full(seconds.shape, COMPARED, dtype=object)
    status[np.isnan(device_bpm)] = "no_device"
    status[np.isnan(reference_bpm)] = "no_reference"
    for span in exclude:
        elapsed = seconds - seconds[:1]
        status[(elapsed >= span.start) & (elapsed < span.end)] = f"excluded: {span.reason}"
    return ALIGNED.frame(
        {name: np.full(seconds.shape, value, dtype=object) for name, value in names.items()}
        | {
            "time": times_of(seconds),
            "reference_bpm": reference_bpm,
            "device_bpm": device_bpm,
            "status": status,
        }
    )
