"""The heart rates of a file that has several: which of them are one sensor told twice, and whose
the RR intervals are."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from strapline.ground.tables.recordings import FIRST_STREAM, of_stream, seconds_of
from strapline.reading.formats.averages import made_of
from strapline.reading.formats.columns import Reals
from strapline.reading.formats.export import Export, Stream
from strapline.reading.formats.judged import FASTEST_BPM, SLOWEST_BPM

# One sensor told twice is rounded, smoothed or delayed a little; two sensors part more often.
NEAR_BPM, ROUNDED_BPM = 2.0, 0.5
SMALLEST_SHARE = 0.98
LARGEST_SHIFT_S = 2
# Values at least as long apart stand for nothing in between.
LONGEST_GAP_S = 10.0
LONGEST_OVERLAP_S = 10
LONGEST_S = 7 * 24 * 3600
# No heart beats at the same rate in so many samples.
MOST_ALIKE = 300


def tracks(spans: Sequence[tuple[float, float] | None]) -> list[int]:
    """A number for each part of a file, by its first and last time: another than that of one
    before it where both overlap, for one device writes one after the other."""
    taken: list[list[tuple[float, float]]] = [[]]
    numbers: list[int] = []
    for span in spans:
        free = (n for n, others in enumerate(taken) if not any(_overlap(span, o) for o in others))
        number = next(free, len(taken))
        if number == len(taken):
            taken.append([])
        if span is not None:
            taken[number].append(span)
        numbers.append(number)
    return numbers


def _overlap(one: tuple[float, float] | None, other: tuple[float, float]) -> bool:
    return one is not None and min(one[1], other[1]) - max(one[0], other[0]) > LONGEST_OVERLAP_S


def settled(export: Export) -> Export:
    """`export` with what speaks against a stream that repeats an earlier one or is no heart rate,
    and the RR intervals with the stream that they agree with best."""
    if len(export.streams) < 2:
        return export
    own = {s.number: of_stream(export.samples, s.number) for s in export.streams}
    rates = {number: _rate(samples) for number, samples in own.items()}
    streams: list[Stream] = []
    for stream in export.streams:
        firsts = [s.number for s in streams if s.against is None]
        against = _no_heart(own[stream.number]) if firsts else None
        alike = {s.number: rates[s.number] for s in export.streams if not _are_two(s, stream)}
        against = against or _average(stream.number, alike)
        same = (s for s in streams if s.number in firsts and _are_one(s, stream, rates))
        if against is None and (first := next(same, None)) is not None:
            against = (
                f"It agrees with stream {first.number} of its file within "
                f"{_near_bpm(first, stream):g} bpm throughout: one sensor told twice, and used "
                "once."
            )
        streams.append(replace(stream, against=against))
    beats = export.beats
    if len(beats) and (beats["stream"] == FIRST_STREAM).all():
        beats = beats.assign(stream=_nearest(beats, rates, streams))
    return replace(export, streams=tuple(streams), beats=beats)


def _are_one(first: Stream, other: Stream, rates: dict[int, "_Rate"]) -> bool:
    ours, theirs = rates[first.number], rates[other.number]
    shift_s = 0 if _are_two(first, other) else LARGEST_SHIFT_S
    return _share_near(ours, theirs, _near_bpm(first, other), shift_s) >= SMALLEST_SHARE


def _near_bpm(first: Stream, other: Stream) -> float:
    """Of two kinds of sensor only what is the same is one told twice."""
    return ROUNDED_BPM if _are_two(first, other) else NEAR_BPM


def _are_two(first: Stream, other: Stream) -> bool:
    """Whether the file says that they are of two kinds of sensor."""
    return bool(first.kind and other.kind and first.kind != other.kind)


def _no_heart(samples: pd.DataFrame) -> str | None:
    """Why what is called a heart rate beside another one is none, or None."""
    rate = samples["heart_rate_bpm"].to_numpy(dtype=float)
    known = rate[rate > 0]
    if not known.size:
        return "It has no heart rate above 0."
    typical = float(np.median(known))
    if not SLOWEST_BPM <= typical <= FASTEST_BPM:
        return f"Its values are no heart rates in bpm: half of them are below {typical:.4g}."
    if known.size >= MOST_ALIKE and np.ptp(known) == 0:
        return f"Its {known.size} values are all {typical:g}: they are no samples."
    return None


def _average(number: int, rates: dict[int, "_Rate"]) -> str | None:
    """Why a stream that is an average of another is no sensor of its own, or None."""
    first, last = rates[number].span
    if not 0 <= last - first <= LONGEST_S:
        return None
    seconds = np.arange(np.ceil(first), last + 1)
    own = rates[number]
    for other, rate in rates.items():
        if other == number or _share_near(rate, own) >= SMALLEST_SHARE:
            continue
        if made := made_of(rate.at(seconds), own.at(seconds)):
            return f"It is made of stream {other} of its file, {made}: no sensor of its own."
    return None


def _nearest(beats: pd.DataFrame, rates: dict[int, "_Rate"], streams: Sequence[Stream]) -> int:
    """The stream whose rates are nearest to those of the RR intervals; the first, if none is."""
    rr_ms = beats["rr_ms"].to_numpy(dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = pd.Series(60_000 / rr_ms).rolling(5, center=True, min_periods=1).median().to_numpy()
    own = _Rate(*_known(beats, rate))
    apart = {
        s.number: _typical_difference(rates[s.number], own) for s in streams if s.against is None
    }
    return min(apart, key=lambda number: (apart[number], number))


class _Rate:
    """A heart rate over whole seconds, NaN where there is none."""

    def __init__(self, time_s: Reals, rate: Reals) -> None:
        order = np.argsort(time_s, kind="stable")
        self._time_s, self._rate = time_s[order], rate[order]

    @property
    def span(self) -> tuple[float, float]:
        return (self._time_s[0], self._time_s[-1]) if self._time_s.size else (0.0, -1.0)

    def at(self, seconds: Reals) -> Reals:
        if not self._time_s.size or not seconds.size:
            return np.full(seconds.shape, np.nan)
        after = np.clip(np.searchsorted(self._time_s, seconds), 0, self._time_s.size - 1)
        before = np.clip(
            np.searchsorted(self._time_s, seconds, side="right") - 1, 0, self._time_s.size - 1
        )
        apart = self._time_s[after] - self._time_s[before]
        inside = (seconds >= self._time_s[0]) & (seconds <= self._time_s[-1])
        near = inside & (apart <= max(LONGEST_GAP_S, 2 * self._usual_s))
        return np.where(near, np.interp(seconds, self._time_s, self._rate), np.nan)

    @property
    def _usual_s(self) -> float:
        return float(np.median(np.diff(self._time_s))) if self._time_s.size > 1 else 0.0


def _rate(samples: pd.DataFrame) -> _Rate:
    rate = samples["heart_rate_bpm"].to_numpy(dtype=float)
    return _Rate(*_known(samples, np.where(rate > 0, rate, np.nan)))


def _known(frame: pd.DataFrame, rate: Reals) -> tuple[Reals, Reals]:
    time_s = seconds_of(frame).to_numpy(dtype=float)
    known = np.isfinite(time_s) & np.isfinite(rate)
    return time_s[known], rate[known]


def _differences(one: _Rate, other: _Rate, shift_s: int = LARGEST_SHIFT_S) -> list[Reals]:
    """Between both in each second that they share, at every shift up to that."""
    first = np.ceil(max(one.span[0], other.span[0]))
    last = np.floor(min(one.span[1], other.span[1]))
    if not 0 <= last - first <= LONGEST_S:
        return []
    seconds = np.arange(first, last + 1)
    ours = one.at(seconds)
    found = []
    for shift in range(-shift_s, shift_s + 1):
        apart = np.abs(ours - other.at(seconds + shift))
        known = apart[np.isfinite(apart)]
        if known.size and known.size >= 0.5 * np.isfinite(ours).sum():
            found.append(known)
    return found


def _share_near(
    one: _Rate, other: _Rate, near_bpm: float = NEAR_BPM, shift_s: int = LARGEST_SHIFT_S
) -> float:
    found = _differences(one, other, shift_s)
    return max((float(np.mean(apart <= near_bpm)) for apart in found), default=0.0)


def _typical_difference(one: _Rate, other: _Rate) -> float:
    return min((float(np.median(d)) for d in _differences(one, other)), default=np.inf)
