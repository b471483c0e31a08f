"""Reference and device on one grid, in one view of the clocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.tables.sessions import ALIGNED
from strapline.ground.vocabulary import Status
from strapline.method.signal.grid import times_of
from strapline.method.signal.reference_check import TRUSTED
from strapline.method.signal.reference_trial import Trial, inside_any
from strapline.method.signal.trace import Trace, paired

if TYPE_CHECKING:
    from strapline.ground.records.alignment import ClockDecision
    from strapline.ground.records.card import Exclusion


def compare(
    reference: Trial,
    device: Trace,
    names: dict[str, str],
    exclude: Sequence[Exclusion],
    longest_gap_s: float,
    clock: ClockDecision,
    no_evidence: str | None = None,
) -> pd.DataFrame:
    """One row a second of the reference's span, under ALIGNED.

    `names` gives recording, device and alignment. A second is compared when both sides have a
    value and nothing is against it; else its status is the first of: `no_evidence` throughout,
    if the recording is none ('copy_of_reference', 'clock_steps', 'reference_set_aside');
    'clock_steps' where nothing tells the device's `clock`, which `device` has been set by; the
    card's exclusion and its reason; what speaks against the reference ('no_reference',
    'reference_flat', …); 'before_recording' or 'after_recording', where the device's has not
    begun or is over; 'no_device'.
    """
    seconds = reference.seconds
    believed = reference.believed.without(seconds[inside_any(seconds, exclude)])
    pairs = paired(reference.trace, device, seconds, longest_gap_s, believed)
    status = np.full(seconds.shape, Status.COMPARED, dtype=object)
    missing = np.isnan(pairs.device)
    status[missing] = Status.NO_DEVICE
    status[missing & (seconds < device.begins_s)] = Status.BEFORE_RECORDING
    status[missing & (seconds > device.ends_s)] = Status.AFTER_RECORDING
    status[np.isnan(pairs.reference)] = Status.NO_REFERENCE
    doubted = reference.reasons != TRUSTED
    status[doubted] = reference.reasons[doubted]
    for span in exclude:
        status[inside_any(seconds, [span])] = f"{Status.EXCLUDED}{span.reason}"
    status[clock.unknown(seconds)] = Status.CLOCK_STEPS
    if no_evidence is not None:
        status[:] = no_evidence
    both = ~np.isnan(pairs.reference) & ~missing
    return ALIGNED.frame(
        {name: np.full(seconds.shape, value, dtype=object) for name, value in names.items()}
        | {
            "time": times_of(seconds),
            "reference_bpm": pairs.reference,
            "device_bpm": pairs.device,
            "status": status,
            "stands_for_s": np.where(both, pairs.stands_for_s, 0.0),
        }
    )
