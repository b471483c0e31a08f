"""One recording's usable heart rates, and two of them at the same seconds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from strapline.ground.vocabulary import Flag
from strapline.method.signal.grid import epoch_seconds, values_at
from strapline.method.signal.spacing import Spacing

# Samples that tell nothing of when a recording began and ended.
TIMELESS = (Flag.NO_TIME, Flag.FAR_OFF_TIME)

# A recorder writes only what changes if it hardly ever repeats a value. After a silence it goes on
# as it does after others, if the value stayed; a heart keeps to one whole bpm for no longer.
MOST_REPEATED, USUAL_STEPS, LONGEST_SILENCE_S = 0.02, 0.9, 60.0


@dataclass(frozen=True)
class Trace:
    """Seconds since the epoch, ascending, and bpm; and when the recording began and ended, where
    its first or last samples have no usable heart rate. `of_moments`: its reports stand for no
    time before them, however far apart they are. `written`: how often it reports, where values
    stand between its reports that only stayed."""

    time_s: np.ndarray
    rate: np.ndarray
    began_s: float = np.inf
    ended_s: float = -np.inf
    of_moments: bool = False
    written: Spacing | None = None

    @classmethod
    def of(cls, normalised: pd.DataFrame) -> Trace:
        """From a frame under NORMALISED."""
        kept = normalised[normalised["flag"] == Flag.KEPT]
        placed = epoch_seconds(normalised.loc[~normalised["flag"].isin(TIMELESS), "time"])
        times = epoch_seconds(kept["time"])
        return cls(
            *_with_what_stayed(times, kept["heart_rate_bpm"].to_numpy()),
            float(np.min(placed, initial=np.inf)),
            float(np.max(placed, initial=-np.inf)),
            written=Spacing.of(times),
        )

    @classmethod
    def of_rates(cls, channels: pd.DataFrame) -> Trace:
        """The averaged rates beside RR intervals, from a frame under CHANNELS."""
        rated = channels.dropna(subset=["heart_rate_bpm"])
        return cls(epoch_seconds(rated["time"]), rated["heart_rate_bpm"].to_numpy())

    def shifted(self, offset_s: float | np.ndarray) -> Trace:
        """Every time later by `offset_s`, or by one offset a time, shape (n,); without those whose
        offset is NaN."""
        offsets = np.broadcast_to(offset_s, self.time_s.shape)
        known = np.isfinite(offsets)
        first, last = offsets[known][[0, -1]] if known.any() else (0.0, 0.0)
        return replace(
            self,
            time_s=(self.time_s + offsets)[known],
            rate=self.rate[known],
            began_s=self.began_s + first,
            ended_s=self.ended_s + last,
        )

    def without(self, seconds: np.ndarray) -> Trace:
        """Without the values nearest to any of these whole seconds."""
        kept = ~np.isin(np.round(self.time_s), seconds)
        return replace(self, time_s=self.time_s[kept], rate=self.rate[kept])

    def at(self, seconds: np.ndarray, longest_gap_s: float) -> np.ndarray:
        """Its rate at each second, along lines over at most `longest_gap_s`, or its own spacing."""
        return values_at(seconds, self.time_s, self.rate, self.spacing.gap_s(longest_gap_s))

    @cached_property
    def spacing(self) -> Spacing:
        return self.written or Spacing.of(self.time_s)

    @cached_property
    def begins_s(self) -> float:
        """When it began; its first report stands for the time before it."""
        first = self.time_s[:1] - (0.0 if self.spacing.by_line else self.spacing.usual_s)
        return float(np.min(first, initial=self.began_s))

    @cached_property
    def ends_s(self) -> float:
        return float(np.max(self.time_s[-1:], initial=self.ended_s))

    @cached_property
    def stands_for_s(self) -> np.ndarray:
        """The time of each report: since the one before, or the usual spacing after a gap."""
        apart = np.diff(self.time_s, prepend=-np.inf)
        time: np.ndarray = np.where(apart <= self.spacing.longest_s, apart, self.spacing.usual_s)
        return time

    def means_before(self, ends: np.ndarray, width_s: np.ndarray) -> np.ndarray:
        """Mean of the values in the time up to each end; NaN where they cover less than half."""
        total = np.concatenate([[0.0], np.cumsum(self.rate)])
        first = np.searchsorted(self.time_s, ends - width_s, side="right")
        last = np.searchsorted(self.time_s, ends, side="right")
        count = last - first
        enough = (count > 0) & (count * self.spacing.usual_s >= width_s / 2)
        means = np.full(ends.shape, np.nan)
        means[enough] = (total[last] - total[first])[enough] / count[enough]
        return means

    def report_at(self, seconds: np.ndarray) -> np.ndarray:
        """The place of the next report from each second on, shape (n,); the last after all."""
        return np.minimum(np.searchsorted(self.time_s, seconds), self.time_s.size - 1)


def _with_what_stayed(time_s: np.ndarray, rate: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Times and rates, shapes (n,); of a recorder that writes only what changes, with the value
    that stayed, where it was silent for longer than usual and went on from near it."""
    spacing, apart, steps = Spacing.of(time_s), np.diff(time_s), np.abs(np.diff(rate))
    if not spacing.is_uneven or np.mean(steps == 0) > MOST_REPEATED:
        return time_s, rate
    stayed = (apart > spacing.longest_s) & (apart <= LONGEST_SILENCE_S)
    stayed &= steps <= np.quantile(steps, USUAL_STEPS)
    between = [
        (at, value)
        for start, end, value in zip(time_s[:-1][stayed], time_s[1:][stayed], rate[:-1][stayed],
                                     strict=True)
        for at in np.arange(start + spacing.usual_s, end, spacing.usual_s)
    ]  # fmt: skip
    added = np.array(between).reshape(-1, 2)
    order = np.argsort(times := np.concatenate([time_s, added[:, 0]]), kind="stable")
    return times[order], np.concatenate([rate, added[:, 1]])[order]


NOTHING = Trace(np.zeros(0), np.zeros(0))


@dataclass(frozen=True)
class Pairs:
    """Both heart rates at each second, NaN where missing, and for how many seconds the report
    stands that is the slower side's there. All of one shape (n,)."""

    reference: np.ndarray
    device: np.ndarray
    stands_for_s: np.ndarray


def paired(
    reference: Trace,
    device: Trace,
    seconds: np.ndarray,
    longest_gap_s: float,
    believed: Trace | None = None,
) -> Pairs:
    """The two recordings at whole `seconds`.

    Where both report often enough for a line, each second has the value of both lines. Where one
    reports less often, it is taken at what it claims: each of its reports stands for the time
    since the one before, and is compared with the other's mean over that time, or its value at
    that moment, where its reports are of moments; the reference's is taken over the values
    `believed`, if that is given.
    """
    is_device = device.spacing.usual_s >= reference.spacing.usual_s
    coarser, finer = (device, reference) if is_device else (reference, device)
    if not coarser.time_s.size or coarser.spacing.by_line:
        stands_for_s = np.maximum(_time_of_report(coarser, seconds), 1.0)
        return Pairs(
            reference.at(seconds, longest_gap_s), device.at(seconds, longest_gap_s), stands_for_s
        )
    report, stands_for_s = coarser.report_at(seconds), _time_of_report(coarser, seconds)
    behind_s = coarser.time_s[report] - seconds
    covered = (behind_s >= 0) & (behind_s < stands_for_s)
    averaged = believed if believed is not None and finer is reference else finer
    claimed = (
        averaged.at(coarser.time_s, longest_gap_s)
        if coarser.of_moments
        else averaged.means_before(coarser.time_s, coarser.stands_for_s)
    )
    held = np.where(covered, coarser.rate[report], np.nan)
    beside = np.where(covered, claimed[report], finer.at(seconds, longest_gap_s))
    sides = (beside, held) if is_device else (held, beside)
    return Pairs(*sides, stands_for_s)


def _time_of_report(trace: Trace, seconds: np.ndarray) -> np.ndarray:
    if not trace.time_s.size:
        return np.ones(seconds.shape)
    stands_for_s: np.ndarray = trace.stands_for_s[trace.report_at(seconds)]
    return stands_for_s
