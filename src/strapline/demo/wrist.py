"""A wrist sensor: it follows late and smoothed, and fails in the ways wrist sensors do.

The kinds of failure are common knowledge of the trade; their sizes are invented. What a
failure does is stated against the reading without it, so that failures are known exactly.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from strapline.demo.bench import Sensor
from strapline.demo.chance import Span, chance_spans, generator, spans_of
from strapline.demo.physiology import Body, Floats, first_order, wandering

FaultKind = Literal["grip", "cadence_lock", "first_lock", "stale", "contact_loss"]
Distorted = tuple[Floats, tuple[Span, ...]]

# Below this no arm swings with the steps; pedals are never felt at the wrist.
SLOWEST_RUN_PER_MIN = 120.0
FIRST_GUESS_BPM = 15.0
LOWEST_BPM, HIGHEST_BPM = 30.0, 230.0


@dataclass(frozen=True)
class Fault:
    """From `start_s` to `end_s` of the session; `effect_bpm` is the mean error it adds.

    The effect is signed, in bpm, against the reading without this fault; None where the
    reading is missing.
    """

    kind: FaultKind
    start_s: int
    end_s: int
    effect_bpm: float | None


@dataclass(frozen=True)
class WristReading:
    """Whole bpm at 1 Hz, NaN where missing, and the faults in it in order of their start."""

    heart_rate_bpm: Floats
    faults: tuple[Fault, ...]


def wrist_reading(body: Body, sensor: Sensor, *seed: str) -> WristReading:
    """What `sensor` reads on `body`: lag, smoothing and error first, then the faults."""
    worn = _as_worn(sensor, *seed)
    reading = _following(body, worn, generator(*seed, "error"))
    faults: list[Fault] = []
    for kind, distort in FAULTS.items():
        distorted, spans = distort(reading, body, worn, generator(*seed, kind))
        faults += [_fault(kind, span, distorted - reading) for span in spans]
        reading = distorted
    ordered = sorted(faults, key=lambda fault: (fault.start_s, fault.kind))
    shown = np.round(np.clip(reading, LOWEST_BPM, HIGHEST_BPM))
    return WristReading(shown.astype(np.float64), tuple(ordered))


def sampled_seconds(
    duration_s: int, shortest_step_s: int, longest_step_s: int, *seed: str
) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Seconds at which a sample is stored; started and stopped a little off the session."""
    chance = generator(*seed, "sampling")
    first, spare = (int(value) for value in chance.integers(0, 9, 2))
    steps = chance.integers(shortest_step_s, longest_step_s + 1, duration_s)
    seconds = first + np.concatenate([[0], np.cumsum(steps)])
    return seconds[seconds < duration_s - spare]


def _as_worn(sensor: Sensor, *seed: str) -> Sensor:
    """The sensor as this session treats it: a day's skin and strap make it better or worse."""
    chance = generator(*seed, "wear")
    wear = float(np.clip(chance.lognormal(0, 0.25), 0.6, 1.7))
    return sensor.model_copy(
        update={
            "error_bpm": sensor.error_bpm * wear,
            "grip_loss": min(sensor.grip_loss * wear, 0.9),
            "first_lock_s": sensor.first_lock_s * wear,
        }
    )


def _following(body: Body, sensor: Sensor, chance: np.random.Generator) -> Floats:
    seconds = np.arange(len(body.heart_rate_bpm), dtype=np.float64)
    late = np.interp(seconds - sensor.lag_s, seconds, body.heart_rate_bpm)
    error = wandering(len(late), sensor.error_bpm, 12, chance)
    return first_order(late, sensor.rise_s, sensor.fall_s) + error


def _grip(reading: Floats, body: Body, sensor: Sensor, chance: np.random.Generator) -> Distorted:
    """Tense muscles thin the blood in the wrist: part of the rise is not seen."""
    if not sensor.grip_loss:
        return reading, ()
    spans = spans_of(body.grip > 0)
    loss = np.zeros(len(reading))
    for start, end in spans:
        loss[start:end] = sensor.grip_loss * chance.uniform(0.6, 1.4) * body.grip[start:end]
    eased = first_order(loss, 6, 12)
    return reading - np.minimum(eased, 0.95) * np.maximum(reading - body.resting_bpm, 0), spans


def _cadence_lock(
    reading: Floats, body: Body, sensor: Sensor, chance: np.random.Generator
) -> Distorted:
    """The arm's swing is taken for the pulse: the reading turns into the cadence."""
    running = body.cadence_per_min > SLOWEST_RUN_PER_MIN
    spans = chance_spans(running, sensor.cadence_locks_per_hour, sensor.cadence_lock_s, chance)
    share = np.zeros(len(reading))
    for start, end in spans:
        share[start:end] = 1
    eased = first_order(share, 4, 2)
    return reading + eased * (body.cadence_per_min - reading), spans


def _first_lock(
    reading: Floats, body: Body, sensor: Sensor, chance: np.random.Generator
) -> Distorted:
    """Until the pulse is found a guess near rest is shown."""
    end = min(round(sensor.first_lock_s * chance.uniform(0.6, 1.4)), len(reading))
    guess = body.resting_bpm + FIRST_GUESS_BPM
    return np.concatenate([np.full(end, guess), reading[end:]]), ((0, end),) if end else ()


def _stale(reading: Floats, body: Body, sensor: Sensor, chance: np.random.Generator) -> Distorted:
    """The last value is repeated."""
    anywhere = np.ones(len(reading), dtype=np.bool_)
    spans = chance_spans(anywhere, sensor.stale_per_hour, sensor.stale_s, chance)
    held = reading.copy()
    for start, end in spans:
        held[start:end] = held[start]
    return held, spans


def _contact_loss(
    reading: Floats, body: Body, sensor: Sensor, chance: np.random.Generator
) -> Distorted:
    """Nothing is stored; hands at work lose contact twice as readily as hands at rest."""
    moving = (body.grip > 0) | (body.cadence_per_min > SLOWEST_RUN_PER_MIN)
    kept = reading.copy()
    everywhere: tuple[Span, ...] = ()
    for allowed, factor in ((moving, 1.0), (~moving, 0.5)):
        rate = sensor.contact_losses_per_hour * factor
        everywhere += chance_spans(allowed, rate, sensor.contact_loss_s, chance)
    for start, end in everywhere:
        kept[start:end] = np.nan
    return kept, everywhere


FAULTS: dict[FaultKind, Callable[[Floats, Body, Sensor, np.random.Generator], Distorted]] = {
    "grip": _grip,
    "cadence_lock": _cadence_lock,
    "first_lock": _first_lock,
    "stale": _stale,
    "contact_loss": _contact_loss,
}


def _fault(kind: FaultKind, span: Span, added_bpm: Floats) -> Fault:
    start, end = span
    effect = None if kind == "contact_loss" else float(np.mean(added_bpm[start:end]))
    return Fault(kind, start, end, effect)
