"""One device against the reference, second by second, as the detectors see it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.method.signal.spacing import usual_s


@dataclass(frozen=True, eq=False)
class View:
    """Arrays of one shape (n,), one value a second of the session. It is equal to itself alone.

    reference_bpm, device_bpm
        NaN where missing.
    compared
        Whether both are there and nothing is against comparing them.
    no_device
        Whether the device alone is missing.
    cadence_per_min
        Steps or turns a minute; NaN where nobody recorded them.
    interval_s
        How often the slower of the two reports, usually.
    shortest_s
        What is shorter, the device's recording is too coarse to show.
    delays_s
        Intervals of the delays that were measured over the session, by the sign of the error that
        each makes; 0 is either.
    """

    reference_bpm: np.ndarray
    device_bpm: np.ndarray
    compared: np.ndarray
    no_device: np.ndarray
    cadence_per_min: np.ndarray
    interval_s: float = 1.0
    shortest_s: float = 1.0
    delays_s: Mapping[int, tuple[float, float]] = field(default_factory=dict)

    @cached_property
    def error_bpm(self) -> np.ndarray:
        """Device minus reference at compared seconds, NaN elsewhere."""
        return np.where(self.compared, self.device_bpm - self.reference_bpm, np.nan)

    @property
    def length(self) -> int:
        return self.compared.size


def view_of(
    aligned: pd.DataFrame,
    cadence_per_min: np.ndarray | None = None,
    shortest_s: float = 1.0,
    delays_s: Mapping[int, tuple[float, float]] = MappingProxyType({}),
) -> View:
    """The view of one recording's rows under ALIGNED, in one view of the clocks."""
    status = aligned["status"].astype(str).to_numpy()
    compared = status == Status.COMPARED
    unknown = np.full(status.size, np.nan)
    return View(
        reference_bpm=aligned["reference_bpm"].to_numpy(),
        device_bpm=aligned["device_bpm"].to_numpy(),
        compared=compared,
        no_device=status == Status.NO_DEVICE,
        cadence_per_min=unknown if cadence_per_min is None else cadence_per_min,
        interval_s=usual_s(aligned["stands_for_s"].to_numpy()[compared]),
        shortest_s=shortest_s,
        delays_s=delays_s,
    )
