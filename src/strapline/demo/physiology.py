"""A body at work: effort becomes heart rate, heart rate becomes beats.

Heart rate seeks a target in proportion to effort (heart rate reserve, Karvonen, Kentala and
Mustala 1957, from memory) with a first-order response, faster at the onset of effort than in
recovery; during effort the target creeps up (cardiovascular drift). The sizes of the constants
are common practice, no source.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.signal import lfilter

from strapline.demo.bench import Activity, Wearer
from strapline.demo.chance import generator

Floats = npt.NDArray[np.float64]

BEAT_STEP_S = 0.1
BREATHS_PER_S = 0.25
SLOW_WAVES_PER_S = 0.1


@dataclass(frozen=True)
class Body:
    """The truth of one session, one value a second from its start.

    heart_rate_bpm
        Mean heart rate, without beat-to-beat variability, in bpm.
    cadence_per_min
        Steps, or turns of the pedals, a minute; 0 at rest.
    grip
        How hard the hands hold on, from 0 to 1, which drains and bends the wrist.
    resting_bpm
        Resting heart rate of the wearer.
    """

    heart_rate_bpm: Floats
    cadence_per_min: Floats
    grip: Floats
    resting_bpm: float


def simulated_body(activity: Activity, wearer: Wearer, *seed: str) -> Body:
    """The body of `wearer` doing `activity`; arrays have `activity.duration_s` values."""
    phases = list(activity.phases())
    lengths = [phase.seconds for phase in phases]
    effort = np.repeat([phase.effort for phase in phases], lengths)
    cadence = np.repeat([phase.cadence for phase in phases], lengths)
    chance = generator(*seed, "body")
    effort = effort + wandering(len(effort), activity.unrest, 40, chance)
    sway = wandering(len(cadence), 1.5, 20, chance)
    return Body(
        heart_rate_bpm=_heart_rate(np.clip(effort, 0, 1), wearer),
        cadence_per_min=np.where(cadence > 0, cadence + sway, 0.0),
        grip=np.repeat([phase.grip for phase in phases], lengths),
        resting_bpm=wearer.resting_bpm,
    )


def first_order(target: Floats, rise_s: float, fall_s: float, start: float | None = None) -> Floats:
    """First-order response to `target`, both at 1 Hz, exact for a target held over each second.

    Solves y' = (target - y) / tau with tau = `rise_s` while the target is above y, else
    `fall_s`; a tau of 0 follows at the next second. Starts at `start`, else at the target.
    """
    keep_rising = math.exp(-1 / rise_s) if rise_s > 0 else 0.0
    keep_falling = math.exp(-1 / fall_s) if fall_s > 0 else 0.0
    level = float(target[0]) if start is None else start
    levels = []
    for goal in target.tolist():
        levels.append(level)
        level = goal + (level - goal) * (keep_rising if goal > level else keep_falling)
    return np.array(levels)


def wandering(
    length: int, deviation: float, memory_s: float, chance: np.random.Generator
) -> Floats:
    """Stationary first-order autoregressive noise at 1 Hz of the given SD and memory."""
    keep = math.exp(-1 / memory_s)
    shocks = chance.standard_normal(length) * math.sqrt(1 - keep**2)
    first = np.array([keep * chance.standard_normal()])
    noise, _ = lfilter([1.0], [1.0, -keep], shocks, zi=first)
    return np.asarray(noise * deviation, dtype=np.float64)


def beat_times(heart_rate_bpm: Floats, variability: float, *seed: str) -> Floats:
    """Times of the beats in s, the first at 0, for a mean heart rate at 1 Hz.

    Integral pulse frequency modulation (Hyndman and Mohn 1975, from memory): a beat falls
    whenever the integral of heart rate passes a whole number. Breathing and a slower wave
    modulate the rate; both fade as heart rate rises. `variability` is their share at 60 bpm.
    """
    chance = generator(*seed, "beats")
    seconds = np.arange(0, len(heart_rate_bpm) - 1, BEAT_STEP_S)
    rate = np.interp(seconds, np.arange(len(heart_rate_bpm)), heart_rate_bpm)
    depth = variability * (60 / rate) ** 2
    breath, slow = (
        np.sin(2 * np.pi * per_s * seconds + chance.uniform(0, 2 * np.pi))
        for per_s in (BREATHS_PER_S, SLOW_WAVES_PER_S)
    )
    per_second = rate / 60 * (1 + depth * (0.6 * breath + 0.4 * slow))
    middles = (per_second[1:] + per_second[:-1]) / 2
    beats = np.concatenate([[0.0], np.cumsum(middles * BEAT_STEP_S)])
    times: Floats = np.interp(np.arange(math.floor(beats[-1]) + 1), beats, seconds)
    return times


def _heart_rate(effort: Floats, wearer: Wearer) -> Floats:
    hours = np.arange(len(effort)) / 3600
    reserve = wearer.max_bpm - wearer.resting_bpm
    target = wearer.resting_bpm + effort * reserve * (1 + wearer.drift_per_hour * hours)
    start = wearer.resting_bpm + 0.15 * reserve
    return first_order(np.minimum(target, wearer.max_bpm), wearer.rise_s, wearer.fall_s, start)
