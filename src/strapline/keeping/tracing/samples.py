"""From a second of the grid back to the values, and the samples of the file, that it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Flag
from strapline.method.signal.flags import flag_beats
from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.normalised import utc_times
from strapline.method.signal.spacing import Spacing

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake
    from strapline.ground.settings import Plausibility, RrIntervals


@dataclass(frozen=True)
class Recording:
    """What is kept of a recording; `rate_from` is 'samples', 'beats' or 'nothing', and `clock`
    what its times are moved by, None for the reference."""

    entry: RecordingIntake
    normalised: pd.DataFrame
    samples: pd.DataFrame
    beats: pd.DataFrame
    rate_from: str
    clock: ClockDecision | None = None

    @cached_property
    def kept(self) -> pd.DataFrame:
        """The kept values, under NORMALISED, with `placed_s`, their time on the reference's
        clock."""
        kept = self.normalised[self.normalised["flag"] == Flag.KEPT]
        own_s = epoch_seconds(kept["time"])
        if self.clock is not None:
            own_s = own_s + self.clock.stamp_shift_s
        placed = own_s if self.clock is None else own_s + self.clock.offsets(own_s)
        known = np.isfinite(placed)
        return pd.DataFrame(kept[known]).assign(placed_s=placed[known])

    @cached_property
    def spacing(self) -> Spacing:
        return Spacing.of(self.kept["placed_s"].to_numpy())

    def next_report_s(self, second: float) -> float:
        """When its next value from `second` on was, on the reference's clock."""
        placed = self.kept["placed_s"].to_numpy()
        return float(placed[np.searchsorted(placed, second)])

    def values_within(self, until_s: float, stands_for_s: float) -> pd.DataFrame:
        """The kept values of the time that a report at `until_s` stands for."""
        placed = self.kept["placed_s"]
        return self.kept[(placed > until_s - stands_for_s) & (placed <= until_s)]

    def values_for(self, second: float) -> pd.DataFrame:
        """The kept values that the one at `second`, since 1970, is made of: that of this second,
        else the two it lies between."""
        kept, placed = self.kept, self.kept["placed_s"].to_numpy()
        after = int(np.searchsorted(placed, second, side="left"))
        before = int(np.searchsorted(placed, second, side="right")) - 1
        places = sorted({place for place in (before, after) if 0 <= place < len(kept)})
        return kept.iloc[places[:1] if before >= after else places]

    def samples_for(
        self, values: pd.DataFrame, plausibility: Plausibility, rr_intervals: RrIntervals
    ) -> pd.DataFrame:
        """The rows of the file, with `use`: 'kept' or why not. For a rate from RR intervals,
        those that end in the windows of the values."""
        if self.rate_from != "beats":
            return self._samples_of(values["ordinal"])
        averaged = values.loc[values["artefact_share"].isna(), "ordinal"]
        if len(averaged):  # where the intervals leave out a stretch
            return self._samples_of(averaged)
        flags = flag_beats(self.beats["rr_ms"].to_numpy(), plausibility, rr_intervals)
        end_s = utc_times(self.beats, self.entry).dt.as_unit("ms").astype("int64").to_numpy() / 1000
        half = rr_intervals.window_s / 2
        inside = np.zeros(len(self.beats), dtype=bool)
        for middle in epoch_seconds(values["time"]):
            inside |= (end_s > middle - half) & (end_s <= middle + half)
        return self.beats.assign(use=flags)[inside]

    def _samples_of(self, ordinals: pd.Series) -> pd.DataFrame:
        return self.samples[self.samples["ordinal"].isin(ordinals)].assign(use=Flag.KEPT)
