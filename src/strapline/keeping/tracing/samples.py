"""From a second of the grid back to the values, and the samples of the file, that it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.vocabulary import Flag
from strapline.method.signal.flags import flag_beats
from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.normalised import utc_times

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

    def values_for(self, second: float, stands_for_s: float) -> pd.DataFrame:
        """The kept values (NORMALISED, with `placed_s`, their time on the reference's clock)
        that the one at `second`, since 1970, is made of: that of this second, else the two it
        lies between; those of the time it stands for, where that is more than a second."""
        kept = self.normalised[self.normalised["flag"] == Flag.KEPT]
        own_s = epoch_seconds(kept["time"])
        placed = own_s if self.clock is None else own_s + self.clock.offsets(own_s)
        known = np.isfinite(placed)
        placed = placed[known]
        kept = pd.DataFrame(kept[known]).assign(placed_s=placed)
        if stands_for_s > 1:
            near = np.flatnonzero(np.round(placed) == second)
            if usual_interval(placed) < stands_for_s:
                near = np.flatnonzero((placed > second - stands_for_s) & (placed <= second))
            return kept.iloc[near]
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


def usual_interval(time_s: np.ndarray) -> float:
    """Median time between values, in s; 0 for fewer than two."""
    return float(np.median(np.diff(time_s))) if time_s.size > 1 else 0.0
