"""Wrist sensors of our own, each failing in one way; see `invented`. All sizes are invented."""

from collections.abc import Callable

import numpy as np
from scipy.signal import lfilter

from strapline.demo.physiology import Body, first_order, wandering

Chance = np.random.Generator
LOWEST_BPM, HIGHEST_BPM = 30, 230
SLOWEST_RUN_PER_MIN = 120


def invented_reading(sensor: str, body: Body, chance: Chance) -> tuple[np.ndarray, np.ndarray]:
    """Response (lag, trailing mean, hold) and reading in bpm at 1 Hz, NaN where missing."""
    size = body.heart_rate_bpm.size
    seconds = np.arange(size, dtype=float)
    width = int(chance.integers(3, 12))
    late = np.interp(seconds - chance.uniform(0, 3), seconds, body.heart_rate_bpm)
    response = lfilter(np.full(width, 1 / width), [1], late - late[0]) + late[0]
    every = int(chance.integers(3, 9)) if sensor == "coarse" else 1
    response = _held(response, every)
    reading = _held(FAULTS[sensor](response, body, chance), every)
    if chance.random() < 0.5:
        for start in chance.integers(0, size, chance.poisson(size / 900)):
            reading[start : start + chance.integers(10, 50)] = reading[start]
    return response, np.round(np.clip(reading, LOWEST_BPM, HIGHEST_BPM))


def _with_error(rate: np.ndarray, bpm: float, chance: Chance) -> np.ndarray:
    memory_s = chance.uniform(5, 40)
    return rate + chance.normal(0, bpm / 2, rate.size) + wandering(rate.size, bpm, memory_s, chance)


def _held(rate: np.ndarray, every: int) -> np.ndarray:
    """A new value every few seconds only, which delays like a mean over as long."""
    return rate[np.arange(rate.size) // every * every]


def _exact(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    return _with_error(response, 0.7, chance)


def _slewing(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    """What is steeper than the sensor allows is followed late."""
    up, down = chance.uniform(1, 2), chance.uniform(0.7, 1.5)
    level, followed = float(response[0]), []
    for goal in response.tolist():
        level += min(max(goal - level, -down), up)
        followed.append(level)
    return _with_error(np.array(followed), 1.2, chance)


def _low_two_thirds(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    """Reads low, by a share or by beats, for two thirds of the session."""
    size = response.size
    start = int(chance.integers(0, size // 3))
    failing = np.zeros(size)
    failing[start : start + 2 * size // 3] = 1
    eased = first_order(failing, 10, 10)
    loss = chance.uniform(0.3, 0.6) * np.maximum(response - body.resting_bpm, 0)
    if chance.random() < 0.4:
        loss = np.full(size, chance.uniform(10, 35))
    return _with_error(response - eased * loss, 1.0, chance)


def _low_at_work(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    """Under-reads whatever is high in the session."""
    hard = response > np.quantile(response, 0.55)
    eased = first_order(hard.astype(float), 6, 10)
    above = np.maximum(response - np.quantile(response, 0.3), 0)
    return _with_error(response - eased * chance.uniform(0.2, 0.6) * above, 1.0, chance)


def _spiky(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    """Spikes, dropouts, and spans at half the rate."""
    size = response.size
    reading = _with_error(response, 1.5, chance)
    for start in chance.integers(0, size, chance.poisson(size / 90)):
        height = chance.uniform(15, 60) * chance.choice([-1, 1])
        reading[start : start + chance.integers(1, 5)] += height
    for start in chance.integers(0, size, chance.poisson(size / 300)):
        reading[start : start + chance.integers(8, 40)] = np.nan
    for start in chance.integers(0, size, chance.poisson(size / 400)):
        reading[start : start + chance.integers(20, 60)] /= 2
    return reading


def _wanders(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    slow = wandering(response.size, chance.uniform(4, 9), chance.uniform(60, 200), chance)
    return _with_error(response + slow, 1.5, chance)


def _lost(response: np.ndarray, body: Body, chance: Chance) -> np.ndarray:
    """Follows the steps, or nothing, for most of the session."""
    size = response.size
    astray = np.zeros(size, dtype=bool)
    share = chance.uniform(0.6, 0.95)
    while astray.mean() < share:
        start = int(chance.integers(0, size))
        astray[start : start + int(chance.uniform(75, 225))] = True
    running = body.cadence_per_min > SLOWEST_RUN_PER_MIN
    goal = np.where(running, body.cadence_per_min, 95 + wandering(size, 10, 40, chance))
    eased = first_order(astray.astype(float), 4, 4)
    return _with_error(response + eased * (goal - response), 2.0, chance)


FAULTS: dict[str, Callable[[np.ndarray, Body, Chance], np.ndarray]] = {
    "exact": _exact,
    "coarse": _exact,
    "slewing": _slewing,
    "low_two_thirds": _low_two_thirds,
    "low_at_work": _low_at_work,
    "spiky": _spiky,
    "wanders": _wanders,
    "lost": _lost,
}
