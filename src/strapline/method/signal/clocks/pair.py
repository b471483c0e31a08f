"""A strap and a device of one session, as far as their clocks go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from strapline.ground.records.alignment import ClockDecision
from strapline.ground.tables.recordings import QUANTITIES
from strapline.ground.vocabulary import Decision
from strapline.method.signal.clocks.channel import Channel
from strapline.method.signal.clocks.heart_rate_search import Demands, OffsetSearch, search_offset
from strapline.method.signal.grid import epoch_seconds, seconds_spanned

if TYPE_CHECKING:
    from strapline.ground.records.intake import RecordingIntake
    from strapline.ground.settings import Alignment
    from strapline.method.signal.trace import Trace


@dataclass(frozen=True)
class Pair:
    """Both heart rates, what both files hold besides, and what intake says of them.

    marked_s
        The offset by which the moments that the card marks in both files meet.
    """

    reference: Trace
    device: Trace
    reference_entry: RecordingIntake
    entry: RecordingIntake
    reference_channels: Mapping[str, Channel]
    channels: Mapping[str, Channel]
    alignment: Alignment
    longest_gap_s: float
    marked_s: float | None = None

    def decided(self, by: Decision, why: str, offset_s: float = 0.0, **more: Any) -> ClockDecision:
        """What is done with the device's clock; `more` is of ClockDecision."""
        return ClockDecision(
            recording=self.entry.recording,
            offset_s=offset_s,
            decision=by,
            reason=why,
            assumed_start=self.assumed_start,
            **more,
        )

    @property
    def assumed_start(self) -> str:
        """Whose start nothing says, the strap's before the device's."""
        if self.reference_entry.start_is_open:
            return "the strap’s"
        return "its" if self.entry.start_is_open else ""

    def clock_is(self, offset_s: float) -> str:
        """'its clock is 9.3 s behind', or what else such an offset may be."""
        by = f"{abs(offset_s):.1f} s"
        if not self.assumed_start:
            return f"its clock is {by} {'behind' if offset_s > 0 else 'ahead'}"
        # The strap's own start lies to the other side.
        is_late = (offset_s > 0) == self.reference_entry.start_is_open
        return (
            f"{self.assumed_start} start, which is assumed, looks {by} too "
            f"{'late' if is_late else 'early'}"
        )

    @property
    def demands(self) -> Demands:
        return Demands(
            self.alignment.largest_doubt_s,
            self.alignment.lowest_closeness,
            self.alignment.smallest_lead,
        )

    @property
    def too_seldom_s(self) -> float | None:
        """How often the one that reports less often does, where that is too seldom to search."""
        spacing = max(self.reference.spacing, self.device.spacing, key=lambda each: each.usual_s)
        return None if spacing.by_line else spacing.usual_s

    @property
    def has_both(self) -> bool:
        return self.reference.time_s.size > 0 and self.device.time_s.size > 0

    @property
    def shares_time(self) -> bool:
        ours, theirs = self.reference.time_s, self.device.time_s
        return self.has_both and bool(theirs[0] <= ours[-1] and theirs[-1] >= ours[0])

    def series(self, offset_s: float | np.ndarray = 0.0) -> tuple[np.ndarray, np.ndarray]:
        """Both heart rates by the second, as `search_offset` takes them, after a shift: one offset,
        or one a time of the device, shape (n,)."""
        seconds = seconds_spanned(self.reference.time_s)
        if seconds.size == 0:
            return seconds, seconds
        search_s = self.alignment.search_s
        wider = np.arange(seconds[0] - search_s, seconds[-1] + search_s + 1)
        device = self.device.shifted(offset_s)
        return (
            self.reference.at(seconds, self.longest_gap_s),
            device.at(wider, self.longest_gap_s),
        )

    @cached_property
    def as_recorded(self) -> OffsetSearch | None:
        """Where the heart rates agree best, near the clocks as recorded."""
        return self.searched(0.0)

    def searched(self, offset_s: float | np.ndarray) -> OffsetSearch | None:
        """Where the heart rates agree best, near these offsets, and counted from them."""
        if not self.has_both or self.too_seldom_s is not None:
            return None
        bounds = self.alignment.search_s, self.alignment.shortest_overlap_s
        return search_offset(*self.series(offset_s), *bounds)


def channels_of(frame: pd.DataFrame) -> dict[str, Channel]:
    """What a recording holds besides heart rate, from a frame under CHANNELS, by quantity."""
    found = {}
    for quantity in QUANTITIES:
        values = frame[quantity].to_numpy(dtype=float)
        known = ~np.isnan(values)
        if known.any():
            found[quantity] = Channel(epoch_seconds(frame["time"])[known], values[known])
    return found
