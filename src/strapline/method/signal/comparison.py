"""Reference and device on one grid, in one view of the clocks, and at every offset of the
device's."""

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

REACH_S = 60


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


def errors_by_offset(
    reference: Trace, device: Trace, seconds: np.ndarray, longest_gap_s: float
) -> pd.DataFrame:
    """Mean absolute error and bias in bpm at each whole offset within ±60 s.

    `seconds` are those that may be compared. A row an offset (added to the device's times) at
    which any second can be compared: offset_s, mae, bias, n. Empty for a recording that reports
    too seldom for a line: a shift of a minute means nothing to it.
    """
    offsets = np.arange(-REACH_S, REACH_S + 1)
    lines = reference.spacing.by_line and device.spacing.by_line
    if seconds.size == 0 or not lines:
        return pd.DataFrame({"offset_s": [], "mae": [], "bias": [], "n": []})
    expected = reference.at(seconds, longest_gap_s)
    wide = np.arange(seconds[0] - REACH_S, seconds[-1] + REACH_S + 1)
    read = device.at(wide, longest_gap_s)
    place = (seconds - wide[0]).astype(int)
    rows = []
    for offset in offsets:
        difference = read[place - offset] - expected
        known = difference[~np.isnan(difference)]
        if known.size:
            rows.append((offset, np.abs(known).mean(), known.mean(), known.size))
    return pd.DataFrame(rows, columns=["offset_s", "mae", "bias", "n"])
