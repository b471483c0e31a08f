"""The seconds of the aligned table that a figure rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from strapline.ground.records.card import Segment
from strapline.ground.vocabulary import Scope, Status
from strapline.keeping.tracing.recompute import recomputed
from strapline.method.agreement.effort import BAND_STARTS_PERCENT, EFFORT_BANDS
from strapline.method.metrics.again import InOrder, Near, Pairs
from strapline.method.signal.grid import epoch_seconds
from strapline.method.signal.spacing import is_line, longest_unit_s, usual_s


@dataclass(frozen=True)
class Seconds:
    """One recording in one view of the clocks, second by second; every array of shape (n,).

    `since_start` counts from the first of the view's seconds, whichever of them are here.
    """

    since_start: np.ndarray
    reference: np.ndarray
    device: np.ndarray
    stands_for_s: np.ndarray
    compared: np.ndarray
    missed: np.ndarray
    copied: np.ndarray

    @classmethod
    def of(cls, rows: pd.DataFrame) -> Seconds:
        """From rows under ALIGNED."""
        time_s, status = epoch_seconds(rows["time"]), rows["status"]
        return cls(
            time_s - time_s[0],
            rows["reference_bpm"].to_numpy(),
            rows["device_bpm"].to_numpy(),
            rows["stands_for_s"].to_numpy(),
            *(
                (status == word).to_numpy()
                for word in (Status.COMPARED, Status.NO_DEVICE, Status.COPY_OF_REFERENCE)
            ),
        )

    def where(self, chosen: np.ndarray) -> Seconds:
        """Those of a mask of shape (n,), or in the order of indices."""
        return Seconds(**{name: values[chosen] for name, values in vars(self).items()})

    def in_scope(self, scope: str, within: Within) -> np.ndarray | None:
        """Which seconds a scope is about, whatever became of them; None for a scope that no
        short rule tells."""
        if scope in (Scope.WHOLE, Scope.UNCUT) or scope.startswith(Scope.EPOCH):
            return np.ones(self.since_start.shape, dtype=bool)
        if scope.startswith(Scope.SEGMENT):
            inside = np.zeros(self.since_start.shape, dtype=bool)
            for span in within.segments:
                if f"{Scope.SEGMENT}{span.label}" == scope:
                    inside |= (self.since_start >= span.start) & (self.since_start < span.end)
            return inside
        if scope.startswith(Scope.INTENSITY) and within.maximum_bpm is not None:
            place = EFFORT_BANDS.index(scope.removeprefix(Scope.INTENSITY))
            starts = [0.0, *BAND_STARTS_PERCENT, np.inf]
            percent = np.round(100 * self.reference / within.maximum_bpm, 9)
            band: np.ndarray = (percent >= starts[place]) & (percent < starts[place + 1])
            return band
        other = within.other(scope)
        return other.compared if other else None

    def used(self, scope: str) -> np.ndarray:
        """Which of these seconds enter the figures of the scope with their heart rates."""
        both: np.ndarray = self.stands_for_s > 0
        return both & ~self.copied if scope == Scope.UNCUT else self.compared

    def pairs(self, scope: str) -> Pairs:
        """What the figures of the scope are made from; these are the seconds it is about."""
        used = self.where(self.used(scope))
        if scope.startswith(Scope.EPOCH):
            return _epochs(used, int(scope.removeprefix(Scope.EPOCH)))
        # Where reports are far apart, as few pairs as give each its time.
        every_s = longest_unit_s(used.stands_for_s, used.reference, used.device)
        if not scope.startswith((Scope.BESIDE, Scope.AGAINST)):
            used = used.where(np.arange(every_s - 1, used.reference.size, every_s))
        missed = 0
        if scope != Scope.UNCUT:
            missed = int(self.missed.sum()) // every_s
        by_line = is_line(usual_s(self.stands_for_s[self.compared]))
        in_order = self._in_order() if scope == Scope.WHOLE and by_line else None
        return Pairs(used.reference, used.device, used.reference.size + missed, in_order)

    def figures(
        self, scope: str, wanted: Iterable[str], near: Near, within: Within
    ) -> dict[str, float]:
        """Those of the wanted figures of a scope that a short path gives; these are all of the
        view's seconds."""
        inside, wanted, seconds = self.in_scope(scope, within), set(wanted), self
        if inside is None:
            return {}
        if scope.startswith(Scope.AGAINST) and (other := within.other(scope)):
            seconds = replace(self, reference=other.device)
        return recomputed(seconds.where(inside).pairs(scope), near, wanted)

    def _in_order(self) -> InOrder:
        counted = self.where(self.compared | self.missed)
        device = np.where(counted.compared, counted.device, np.nan)
        return InOrder(counted.since_start, counted.reference, device)


@dataclass(frozen=True)
class Within:
    """What scopes go by: the segments of the card, the maximum heart rate in bpm, and the other
    recordings by name, in the same view."""

    segments: Sequence[Segment] = ()
    maximum_bpm: float | None = None
    others: Mapping[str, Seconds] = field(default_factory=dict)

    def other(self, scope: str) -> Seconds | None:
        """The recording that a scope names."""
        kind, colon, name = scope.partition(":")
        return self.others[name] if f"{kind}{colon}" in (Scope.BESIDE, Scope.AGAINST) else None


def _epochs(used: Seconds, length_s: int) -> Pairs:
    """Means over epochs of which at least half was compared."""
    epoch = (used.since_start // length_s).astype(int)
    count = np.bincount(epoch)
    enough = count >= length_s / 2
    sides = (np.bincount(epoch, weights=rate)[enough] for rate in (used.reference, used.device))
    reference, device = (total / count[enough] for total in sides)
    return Pairs(reference, device, reference.size)
