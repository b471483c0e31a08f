"""Whether numbers can be a heart's, by their level, their steps and their sum: what is sure to be
in another unit is put right and told, and what cannot be a heart is told why."""

from dataclasses import dataclass

import numpy as np

from strapline.reading.formats.columns import Reals
from strapline.reading.formats.rr_columns import (
    FEWEST,
    LONGEST_MS,
    SHORTEST_MS,
    TICKS_PER_S,
    in_ms,
    no_latest,
    sampled_every_s,
)

SLOWEST_BPM, FASTEST_BPM = 25, 250
# The median change from one RR interval to the next, as a share of them: 0.01 to 0.1 in health, up
# to 0.25 in atrial fibrillation (common knowledge, no source); of any numbers more.
LARGEST_CHANGE = 0.3
FEWEST_CHANGES = 20
# A share of steps that agree within this is no chance.
_ALIKE, _MOSTLY, _RELATED = 0.05, 0.8, 0.5
# Whose rows one column may hold.
_MOST_SENSORS = 4
# Times to the second are wrong by up to one at either end of a stretch.
_CHUNK_S, _CHUNK_OF_WHOLE_SECONDS_S = 60.0, 600.0
# An interval is written down when it is over: together they last no longer than the time they span.
_LARGEST_RATIO = 1.1
# Half a session below this is hardly a wearer's, and may be counts of less than a minute.
_LOW_BPM = 40

_LATEST = "Its RR intervals come at even steps, so a row holds the latest and not every one; "
LATEST_AS_RATES = f"{_LATEST}they are read as heart rates."
LATEST_BESIDE_RATES = f"{_LATEST}the heart rates beside them are used."


@dataclass(frozen=True)
class Judged:
    """Heart rates in bpm or, where `are_beats`, RR intervals in ms; None for what is neither.

    said
        What was found and done, as a sentence, where there is something to say.
    """

    values: Reals | None
    said: str | None = None
    are_beats: bool = False


def rates(values: Reals, per_min: float | None, times_s: Reals | None) -> Judged:
    """`values` of a column of heart rates; `per_min` is what one of its unit is a minute, and
    `times_s` are the times of the rows."""
    stated = values * (per_min or 1)
    known = stated[stated > 0]
    if known.size < FEWEST:
        return Judged(stated)
    typical = float(np.median(known))
    if SLOWEST_BPM <= typical <= FASTEST_BPM:
        if reason := _unsteady(known, _MOST_SENSORS):
            return Judged(None, f"What it calls a heart rate is none: {reason}.")
        with np.errstate(divide="ignore"):
            rr_ms = np.where(stated > 0, 60_000 / stated, np.nan)
        if _are_steps(rr_ms / 1000, times_s):
            said = "Its heart rates come one a beat, and are read as RR intervals."
            return Judged(rr_ms, said, are_beats=True)
        return Judged(stated, _told_of_rates(per_min or 1, typical))
    if _are_steps(values / 1000, times_s):
        said = "What it calls a heart rate is the time from beat to beat in ms, and read as such."
        return Judged(values, said, are_beats=True)
    return Judged(None, _no_rates(values, typical, times_s))


def _told_of_rates(per_min: float, typical: float) -> str | None:
    if per_min != 1:
        slower = f"counted in {60 / per_min:g} s" if per_min > 1 else f"in {per_min:g} bpm"
        counted = "in Hz" if per_min == 60 else slower
        return f"Its heart rates are {counted}, and taken times {per_min:g}."
    if typical < _LOW_BPM:
        return (
            f"Half of its heart rates are below {typical:.4g} bpm. If it counts the beats of less "
            "than a minute, the heading must say so: (/15 s), for instance."
        )
    return None


def _no_rates(values: Reals, typical: float, times_s: Reals | None) -> str:
    hint = ""
    if SLOWEST_BPM <= 60 * typical <= FASTEST_BPM:
        hint = " If they are in Hz, the heading must say so: (Hz)."
    elif intervals(values, 1e-3, times_s).values is not None:
        hint = " If they are RR intervals in ms, the heading must say so: (ms)."
    return (
        f"What it calls a heart rate is none in bpm: half of the values are below {typical:.4g}."
        f"{hint}"
    )


def intervals(values: Reals, unit_s: float | None, ends_s: Reals | None) -> Judged:
    """`values` of a column of RR intervals, in ms; `ends_s` are the times of its rows. Where rows
    come at even steps, each holds the latest and not every one: then heart rates."""
    rr_ms, said = in_ms(values, unit_s)
    known = rr_ms[rr_ms > 0]
    if known.size < FEWEST:
        return Judged(rr_ms, said, are_beats=True)
    every_s = None if ends_s is None else sampled_every_s(rr_ms, ends_s)
    ratio = sum_over_span(rr_ms, ends_s)
    reason = no_rhythm(known)
    if reason is None and ends_s is not None and every_s is not None:
        reason = no_latest(rr_ms, ends_s, every_s)
    elif reason is None and ratio is not None and ratio > _LARGEST_RATIO:
        reason = f"they add up to {ratio:.2f} times the time that they span"
    if reason:
        return Judged(None, f"What it calls RR intervals are none: {reason}.")
    if every_s is not None:
        return Judged(60_000 / np.where(rr_ms > 0, rr_ms, np.nan), LATEST_AS_RATES)
    if ratio is not None and abs(ratio - TICKS_PER_S / 1000) <= 0.006:
        told = (
            f"Its RR intervals add up to {ratio:.3f} of the time they span, so they count 1/1024 s "
            "and not ms; they are converted."
        )
        return Judged(rr_ms * 1000 / TICKS_PER_S, told, are_beats=True)
    if ratio is not None and abs(ratio - 1) > 0.03:
        said = (
            f"Its RR intervals add up to {ratio:.2f} of the time they span; they keep the times "
            "that the file states."
        )
    return Judged(rr_ms, said, are_beats=True)


def no_rhythm(rr_ms: Reals) -> str | None:
    """Why RR intervals, some above 0, are no heart's rhythm, or None."""
    typical = float(np.median(rr_ms))
    if not SHORTEST_MS <= typical <= LONGEST_MS:
        return f"half of them are below {typical:.4g} ms"
    if rr_ms.size < FEWEST_CHANGES:
        return None
    if reason := _unsteady(rr_ms):
        return reason
    steps = np.diff(rr_ms)
    if (steps > 0).all() or (steps < 0).all():
        return "they only ever rise or fall, as times or counts do"
    return None


def _unsteady(values: Reals, sensors: int = 1) -> str | None:
    """Why values above 0, in their order, change too much for a heart, or None; of up to so many
    sensors, whose rows may take turns."""
    if values.size < FEWEST_CHANGES:
        return None
    steps = (values[turn:] - values[:-turn] for turn in range(1, sensors + 1))
    share = float(min(np.median(np.abs(step)) for step in steps) / np.median(values))
    if share <= LARGEST_CHANGE:
        return None
    return f"from one to the next they change by {100 * share:.0f} %, and no heart's do"


def sum_over_span(rr_ms: Reals, ends_s: Reals | None) -> float | None:
    """The sum of RR intervals over the time that they span by their rows: the median over stretches
    of a minute, or of ten where times are whole seconds. None where there is none so long, or where
    rows come at fixed steps, for those hold the last interval and not each."""
    if ends_s is None:
        return None
    known = np.isfinite(rr_ms) & np.isfinite(ends_s)
    rr_s, ends = rr_ms[known] / 1000, ends_s[known]
    steps = np.diff(ends)
    are_whole = bool((ends == np.round(ends)).all())
    chunk_s = _CHUNK_OF_WHOLE_SECONDS_S if are_whole else _CHUNK_S
    if steps.size < FEWEST or ends[-1] - ends[0] < chunk_s or (steps < 0).any():
        return None
    if np.mean(np.abs(steps - np.median(steps)) < 1e-6) > _MOSTLY:
        return None
    total = np.cumsum(rr_s)
    places = np.searchsorted(ends, np.arange(ends[0], ends[-1], chunk_s))
    places = np.unique(np.append(places, ends.size - 1))
    spans, sums = np.diff(ends[places]), np.diff(total[places])
    whole = spans >= chunk_s / 2
    return float(np.median(sums[whole] / spans[whole])) if whole.any() else None


def start_of_each(rr_ms: Reals, times_s: Reals) -> bool:
    """Whether the times are those at which the intervals start, by the steps between them."""
    known = np.isfinite(rr_ms) & np.isfinite(times_s)
    rr_s, steps = rr_ms[known] / 1000, np.diff(times_s[known])
    if steps.size < FEWEST:
        return False
    as_ends, as_starts = np.abs(steps - rr_s[1:]), np.abs(steps - rr_s[:-1])
    return bool(np.median(as_starts) < 0.2 * np.median(as_ends))


def _are_steps(intervals_s: Reals, times_s: Reals | None) -> bool:
    """Whether the rows are as far apart as `intervals_s`, and not evenly so."""
    if times_s is None:
        return False
    steps = np.diff(times_s)
    with np.errstate(divide="ignore", invalid="ignore"):
        near = np.minimum(np.abs(steps / intervals_s[1:] - 1), np.abs(steps / intervals_s[:-1] - 1))
    known = near[np.isfinite(near)]
    if known.size < FEWEST or np.mean(known <= _ALIKE) < _MOSTLY:
        return False
    both = np.isfinite(steps) & np.isfinite(intervals_s[1:])
    stated, stepped = intervals_s[1:][both], steps[both]
    if np.ptp(stated) == 0 or np.mean(np.abs(stepped - np.median(stepped)) < 1e-3) >= _MOSTLY:
        return False
    return float(np.corrcoef(stated, stepped)[0, 1]) > _RELATED
