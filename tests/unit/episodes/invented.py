"""Sessions in which it is known, second by second, what is wrong with the device.

Half are the demo's sensors on other wearers, workouts and seeds; the others share nothing with
them: a sensor that follows well, and faults of every kind laid into it one at a time. All sizes
are invented.

The truth of a second is the fault that acts in it, where that moves the reading by `SEEN_BPM`
or more (a smaller effect is on track), except that 'stuck' and 'no_value' hold for as long as
they last, whatever the error. In the demo's sensors some seconds are left open ('open'): where
a fault wears off, and where the sensor's own error is that large without any fault. Where such
a sensor is late and low at once, it is called by the larger part of the error, if that is twice
the other, and else 'late_and_low'.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
import pandas as pd

from strapline.demo.chance import within
from strapline.demo.physiology import Body, first_order, wandering
from strapline.demo.strap import Contact
from strapline.demo.wrist import wrist_reading
from strapline.ground.records.alignment import ClockDecision
from strapline.ground.settings import Reference
from strapline.method.episodes.view import View, view_of
from strapline.method.signal.comparison import compare
from strapline.method.signal.grid import seconds_spanned
from strapline.method.signal.reference_check import TRUSTED, judged
from strapline.method.signal.reference_trial import Trial
from strapline.method.signal.response import with_delay
from strapline.method.signal.spans import spans_of
from strapline.method.signal.trace import Trace
from unit.signal.invented import (
    ACTIVITIES,
    BENCH,
    drawn_body,
    drawn_wearer,
    planned,
    read_strap,
)

SEEN_BPM = 5.0
APART_S = 45
WEARS_OFF_S = 30
LONGEST_GAP_S = 10
DEMO_KINDS = {
    "grip": "reads_low",
    "cadence_lock": "follows_cadence",
    "first_lock": "first_lock",
    "stale": "stuck",
    "contact_loss": "no_value",
}
Chance = np.random.Generator

CLOCK = ClockDecision(recording="watch", offset_s=0, decision="trusted", reason="")


@dataclass(frozen=True)
class Known:
    """What the detectors see (from `aligned`, under ALIGNED), and what is true: a word a second,
    and the device's error at 1 Hz against the true heart rate, shapes (n,)."""

    sensor: str
    aligned: pd.DataFrame
    view: View
    truth: np.ndarray
    true_error_bpm: np.ndarray


@cache
def session(seed: int) -> Known:
    """A session wholly determined by `seed`; nobody changes it."""
    chance = np.random.default_rng([seed, 7])
    plan = planned(str(chance.choice(ACTIVITIES)), chance)
    wearer = drawn_wearer(chance)
    body = drawn_body(plan, wearer, chance, f"episodes {seed}")
    strap = read_strap(body, wearer, Contact(), chance.random() < 0.5, str(seed))
    if chance.random() < 0.5:
        sensor = str(chance.choice(list(BENCH.wrists)))
        reading, truth = _demo(sensor, body, f"episodes {seed}")
    else:
        sensor = "invented"
        reading, truth = _faulty(body, chance)
    running = plan.sport == "running"
    return _known(sensor, body, strap, reading, truth, running, chance)


def _known(
    sensor: str,
    body: Body,
    strap: Trace,
    reading: np.ndarray,
    truth: np.ndarray,
    running: bool,
    chance: Chance,
) -> Known:
    """As the workflow sees it: on the grid of the reference's seconds."""
    seconds = np.flatnonzero(~np.isnan(reading))
    device = Trace(seconds.astype(float), reading[seconds])
    names = {"recording": "watch", "device": "watch", "alignment": "settled"}
    aligned = compare(believed(strap), device, names, (), LONGEST_GAP_S, CLOCK)
    first, size = int(np.ceil(strap.time_s[0])), len(aligned)
    part = slice(first, first + size)
    cadence = np.round(body.cadence_per_min[part]) if running else np.full(size, np.nan)
    true = truth[part].copy()
    true[~np.isin(aligned["status"], ["compared", "no_device"])] = "open"
    error = reading[part] - body.heart_rate_bpm[part]
    # Of a cadence that nobody recorded only the error can be seen.
    unseen = (true == "follows_cadence") & np.isnan(cadence)
    true[unseen] = np.where(error[unseen] < 0, "reads_low", "reads_high")
    delays_s = with_delay(CLOCK, aligned).delays_s
    return Known(sensor, aligned, view_of(aligned, cadence, delays_s=delays_s), true, error)


def _demo(sensor: str, body: Body, seed: str) -> tuple[np.ndarray, np.ndarray]:
    """A demo sensor's reading at 1 Hz, and the truth."""
    wrist = BENCH.wrists[sensor].sensor
    found = wrist_reading(body, wrist, seed, sensor)
    reading, size = found.heart_rate_bpm, body.heart_rate_bpm.size
    seconds = np.arange(size, dtype=float)
    late = np.interp(seconds - wrist.lag_s, seconds, body.heart_rate_bpm)
    response = first_order(late, wrist.rise_s, wrist.fall_s)
    slow = np.abs(response - body.heart_rate_bpm) >= SEEN_BPM
    seen = np.abs(reading - body.heart_rate_bpm) >= SEEN_BPM
    truth = np.full(size, "on_track", dtype=object)
    truth[seen] = "open"
    truth[slow] = "slow_to_follow"
    for fault in found.faults:
        ended = slice(fault.end_s, fault.end_s + WEARS_OFF_S)
        truth[ended][seen[ended]] = "open"
    for name, kind in DEMO_KINDS.items():
        spans = [(fault.start_s, fault.end_s) for fault in found.faults if fault.kind == name]
        acting = within(spans, size)
        truth[acting & (seen if kind not in ("stuck", "no_value") else acting)] = kind
    late_by = np.abs(response - body.heart_rate_bpm)
    low_by = np.abs(reading - body.heart_rate_bpm) - late_by
    gripped = truth == "reads_low"
    truth[gripped & (late_by > low_by / 2)] = "late_and_low"
    truth[gripped & (late_by > 2 * low_by)] = "slow_to_follow"
    truth[np.isnan(reading)] = "no_value"
    return reading, truth


def _faulty(body: Body, chance: Chance) -> tuple[np.ndarray, np.ndarray]:
    """A sensor that follows well but for the faults laid into it."""
    size = body.heart_rate_bpm.size
    seconds = np.arange(size, dtype=float)
    late = np.interp(seconds - chance.uniform(0, 2), seconds, body.heart_rate_bpm)
    error = wandering(size, chance.uniform(0.4, 1.6), chance.uniform(4, 30), chance)
    clean = first_order(late, 1, 1) + error
    reading, truth = clean.copy(), np.full(size, "on_track", dtype=object)
    place = int(chance.integers(20, 120))
    while place < size - 150:
        kind = str(chance.choice(list(FAULTS)))
        length = int(chance.uniform(3, 11) if kind == "spike" else chance.uniform(15, 200))
        span = slice(place, min(place + length, size - 20))
        faulty = FAULTS[kind](clean, body, span, chance)
        if faulty is not None:
            acts = np.ones(faulty.size, dtype=bool)
            if kind not in ("stuck", "no_value"):
                acts = np.abs(faulty - clean[span]) >= SEEN_BPM
            reading[span] = faulty
            truth[span][acts] = kind
        place = span.stop + APART_S + int(chance.exponential(120))
    return np.round(np.clip(reading, 30, 230)), truth


def _eased(length: int, chance: Chance) -> np.ndarray:
    """From 0 to 1 and back, abruptly or over some seconds."""
    ease = chance.uniform(0, 6)
    place = np.arange(length) + 1.0
    away: np.ndarray = np.clip(np.minimum(place, place[::-1]) / (ease + 1), 0, 1)
    return away


def _offset(clean: np.ndarray, span: slice, sign: int, chance: Chance) -> np.ndarray:
    """Off by beats, or by a share of the rate; steady, or wandering."""
    length = span.stop - span.start
    size = np.full(length, chance.uniform(11, 45))
    if chance.random() < 0.4:
        size = chance.uniform(0.12, 0.35) * clean[span]
    size = size + wandering(length, chance.uniform(0, 2.5), 20, chance)
    return clean[span] + sign * size * _eased(length, chance)


def _reads_low(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    return _offset(clean, span, -1, chance)


def _reads_high(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    return _offset(clean, span, 1, chance)


def _spike(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    height = chance.uniform(22, 60) * chance.choice([-1, 1])
    return clean[span] + height


def _stuck(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    return np.full(span.stop - span.start, np.round(clean[span.start]))


def _no_value(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    return np.full(span.stop - span.start, np.nan)


def _follows_cadence(
    clean: np.ndarray, body: Body, span: slice, chance: Chance
) -> np.ndarray | None:
    """The step rate, or twice or half of it, where there are steps and it is seen."""
    goal = chance.choice([1.0, 1.0, 2.0, 0.5]) * body.cadence_per_min[span]
    goal = goal + wandering(goal.size, chance.uniform(0.3, 1.5), 8, chance)
    plausible = goal.min() > 40 and goal.max() < 225
    if not plausible or np.mean(np.abs(goal - clean[span]) >= 2 * SEEN_BPM) < 0.8:
        return None
    share = first_order(np.ones(goal.size), chance.uniform(0.5, 4), 1, start=0.0)
    faulty: np.ndarray = clean[span] + share * (goal - clean[span])
    return faulty


def _slow_to_follow(clean: np.ndarray, body: Body, span: slice, chance: Chance) -> np.ndarray:
    """Late by some seconds: as it was then, or smoothed over what was since."""
    if chance.random() < 0.5:
        delay = int(chance.integers(8, 40))
        return clean[np.maximum(np.arange(span.start, span.stop) - delay, 0)]
    tau = chance.uniform(8, 30)
    return first_order(clean[span], tau, tau)


FAULTS = {
    "reads_low": _reads_low,
    "reads_high": _reads_high,
    "spike": _spike,
    "stuck": _stuck,
    "no_value": _no_value,
    "follows_cadence": _follows_cadence,
    "slow_to_follow": _slow_to_follow,
}


@dataclass(frozen=True)
class Fault:
    """A stretch of one kind in the truth: seconds, and mean and largest absolute error."""

    kind: str
    start_s: int
    end_s: int
    mean_bpm: float
    peak_bpm: float


def true_faults(known: Known) -> list[Fault]:
    """The stretches of one kind, gaps of up to 5 s included."""
    found = []
    for kind in {*FAULTS, "first_lock", "late_and_low"}:
        acting = known.truth == kind
        for start, end in spans_of(acting):
            error = np.abs(known.true_error_bpm[start:end])
            mean, peak = (0.0, 0.0) if np.isnan(error).all() else (
                float(np.nanmean(error)), float(np.nanmax(error)))  # fmt: skip
            found.append(Fault(kind, start, end, mean, peak))
    return sorted(found, key=lambda fault: fault.start_s)


def believed(strap):
    """A reference that nothing speaks against."""
    seconds = seconds_spanned(strap.time_s)
    reasons = np.full(seconds.shape, TRUSTED, dtype=object)
    return Trial(strap, strap, seconds, reasons, judged(reasons, Reference()))
