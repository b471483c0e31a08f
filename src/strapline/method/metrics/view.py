"""A device's seconds in one view of the clocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Status
from strapline.method.signal.spacing import is_line, usual_s

if TYPE_CHECKING:
    from strapline.ground.records.intake import SessionIntake


@dataclass(frozen=True)
class View:
    """`rows` of the aligned table that are of one recording in one view of the clocks, n of them,
    one a second of the session, and the columns of METRICS that say which. Masks and rates in bpm
    have the shape (n,)."""

    names: dict[str, str]
    rows: pd.DataFrame

    @cached_property
    def reference(self) -> np.ndarray:
        return self.rows["reference_bpm"].to_numpy()

    @cached_property
    def device(self) -> np.ndarray:
        return self.rows["device_bpm"].to_numpy()

    @cached_property
    def stands_for_s(self) -> np.ndarray:
        return self.rows["stands_for_s"].to_numpy()

    @cached_property
    def compared(self) -> np.ndarray:
        return (self.rows["status"] == Status.COMPARED).to_numpy()

    @cached_property
    def missed(self) -> np.ndarray:
        """Where the device alone is missing."""
        return (self.rows["status"] == Status.NO_DEVICE).to_numpy()

    @property
    def is_line(self) -> bool:
        """Whether anything was compared, by reports near enough for a line between them."""
        return bool(self.compared.any()) and is_line(usual_s(self.stands_for_s[self.compared]))


def views(aligned: pd.DataFrame, intake: SessionIntake) -> Iterator[View]:
    for (recording, device, alignment), rows in aligned.groupby(
        ["recording", "device", "alignment"], observed=True, sort=False
    ):
        names = intake.names(str(recording), str(device)) | {"alignment": str(alignment)}
        yield View(names, rows)
