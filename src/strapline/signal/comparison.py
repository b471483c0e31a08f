"""Reference and device on one grid, in one view of the clocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.signal.grid import seconds_spanned, times_of
from strapline.signal.trace import Trace, paired
from strapline.tables import ALIGNED

if TYPE_CHECKING:
    from strapline.session.card import Exclusion

COMPARED = "compared"
COPY = "copy_of_reference"


def compare(
    reference: Trace,
    device: Trace,
    names: dict[str, str],
    exclude: Sequence[Exclusion],
    longest_gap_s: float,
    is_copy: bool = False,
) -> pd.DataFrame:
    """One row a second of the reference's span, under ALIGNED.

    `names` gives recording, device and alignment. A second is compared when both sides have a
    value and nothing is against it; else its status is the first of: 'copy_of_reference'
    throughout, if it is one; the card's exclusion and its reason; 'between_reports' of a
    recording that reports less often than every `longest_gap_s`; 'no_reference'; 'no_device'.
    """
    seconds = seconds_spanned(reference.time_s)
    pairs = paired(reference, device, seconds, longest_gap_s)
    status = np.full(seconds.shape, COMPARED, dtype=object)
    status[np.isnan(pairs.device)] = "no_device"
    status[np.isnan(pairs.reference)] = "no_reference"
    status[pairs.awaited] = "between_reports"
    for span in exclude:
        elapsed = seconds - seconds[:1]
        status[(elapsed >= span.start) & (elapsed < span.end)] = f"excluded: {span.reason}"
    if is_copy:
        status[:] = COPY
    return ALIGNED.frame(
        {name: np.full(seconds.shape, value, dtype=object) for name, value in names.items()}
        | {
            "time": times_of(seconds),
            "reference_bpm": pairs.reference,
            "device_bpm": pairs.device,
            "status": status,
            "stands_for_s": np.where(status == COMPARED, pairs.stands_for_s, 0.0),
        }
    )
