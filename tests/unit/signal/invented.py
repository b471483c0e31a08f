"""Invented workouts and wrist sensors with a known clock, beside those of the demo.

The demo's sensors are used as they are, under other wearers and seeds; the others share nothing
with them, so that what is tested on both is not tuned to one. All sizes are invented.

What heart rate can tell is the clock's error plus the sensor's own constant delay. So the true
offset is the shift by which the sensor's response, without error and faults, fits the reference
best (least squares); a limit on its steepness counts as a fault, since it delays only what is
steep. `Pair.clock_s` is the clock's part alone.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.ndimage import uniform_filter1d

from strapline.demo.bench import Activity, Bench, Phase, Wearer
from strapline.demo.physiology import Body, beat_times, first_order, simulated_body, wandering
from strapline.demo.strap import Contact, bad_contact, strap_reading
from strapline.demo.wrist import sampled_seconds, wrist_reading
from strapline.ground.documents import load
from strapline.ground.settings import Plausibility, RrIntervals
from strapline.ground.vocabulary import Flag
from strapline.method.signal.beat_rate import rate_at_seconds
from strapline.method.signal.flags import flag_beats
from strapline.method.signal.trace import Trace
from unit.signal.faults import invented_reading

BENCH = load(Path(__file__).resolve().parents[3] / "config/demo/bench.yaml", Bench)
ACTIVITIES = (*BENCH.activities, "circuit", "fartlek", "steady", "errands")
QUALITIES = {
    "exact": "good",
    "coarse": "good",
    "harbour-watch": "good",
    "slewing": "slow",
    "kettle-watch": "slow",
    "lantern-watch": "fair",
    "spiky": "fair",
    "low_two_thirds": "poor",
    "low_at_work": "poor",
    "thimble-band": "poor",
    "wanders": "poor",
    "lost": "lost",
}
SENSORS = tuple(QUALITIES)
DELAYS = np.arange(-5, 45.01, 0.25)
STRAP_WINDOW_S, RR_WINDOW_S = 3, 5


@dataclass(frozen=True)
class Pair:
    """Two recordings, each on its own clock; offsets are to be added to the device's times."""

    activity: str
    quality: str
    reference: Trace
    device: Trace
    clock_s: float
    true_offset_s: float


def quality(sensor: str, activity: Activity) -> str:
    """A demo watch that is good but for gripping is its own class where hands grip."""
    gripped = any(phase.grip for phase in activity.phases())
    return "gripped" if sensor == "harbour-watch" and gripped else QUALITIES[sensor]


def paired(seed: int, sensor: str | None = None, activity: str | None = None) -> Pair:
    """A strap and a wrist sensor on one body; what is not given is drawn."""
    chance = np.random.default_rng([seed, 1])
    name = activity or str(chance.choice(ACTIVITIES))
    sensor = sensor or str(chance.choice(SENSORS))
    plan, wearer = planned(name, chance), drawn_wearer(chance)
    body = drawn_body(plan, wearer, chance, str(seed))
    contact = Contact()
    if chance.random() < 0.1:
        contact = bad_contact(body.heart_rate_bpm.size, str(seed))
    by_beats = chance.random() < 0.5
    strap = read_strap(body, wearer, contact, by_beats, str(seed))
    untroubled = read_strap(body, wearer, Contact(), by_beats, str(seed))
    response, device = read_wrist(sensor, body, chance, str(seed))
    near, wide = chance.uniform(-5, 5), chance.uniform(-75, 75)
    ahead = float(chance.choice([0.0, near, wide, round(wide)]))
    return Pair(
        activity=name,
        quality=quality(sensor, plan),
        reference=strap,
        device=device.shifted(ahead),
        clock_s=-ahead,
        true_offset_s=-ahead - constant_delay(untroubled, response),
    )


def unpaired(seed: int, kind: str) -> Pair:
    """A strap and a wrist sensor on two bodies: `kind` says how alike the workouts are.

    'other workout'; 'same plan' by another person, to the second; 'other efforts', the same
    person in the same structure.
    """
    chance = np.random.default_rng([seed, 2])
    name, sensor = str(chance.choice(ACTIVITIES)), str(chance.choice(SENSORS))
    plan, wearer = planned(name, chance), drawn_wearer(chance)
    plan2, wearer2 = plan, drawn_wearer(chance)
    if kind == "other workout":
        plan2 = planned(str(chance.choice(ACTIVITIES)), chance)
    if kind == "other efforts":
        phases = [p.model_copy(update={"effort": _share(p.effort + chance.normal(0, 0.15))})
                  for p in plan.phases()]  # fmt: skip
        plan2, wearer2 = _activity(phases, plan), wearer
    one = drawn_body(plan, wearer, chance, f"{seed} one")
    two = drawn_body(plan2, wearer2, chance, f"{seed} two")
    strap = read_strap(one, wearer, Contact(), chance.random() < 0.5, str(seed))
    _, device = read_wrist(sensor, two, chance, str(seed))
    ahead = float(chance.choice([0.0, chance.uniform(-60, 60)]))
    return Pair(name, quality(sensor, plan2), strap, device.shifted(ahead), -ahead, np.nan)


def drawn_wearer(chance: np.random.Generator) -> Wearer:
    return Wearer(
        age=40,
        resting_bpm=chance.uniform(45, 75),
        max_bpm=chance.uniform(165, 200),
        rise_s=chance.uniform(17, 36),
        fall_s=chance.uniform(28, 60),
        variability=chance.uniform(0.02, 0.08),
    )


def planned(name: str, chance: np.random.Generator) -> Activity:
    """An activity of the demo, or one of random structure."""
    if name in BENCH.activities:
        return BENCH.activities[name]

    def phase(seconds: float, effort: float, cadence: float = 0, grip: float = 0) -> Phase:
        return Phase(
            seconds=round(seconds * chance.uniform(0.5, 1.5)) + 1,
            effort=_share(effort * chance.uniform(0.85, 1.15)),
            cadence=cadence * chance.uniform(0.96, 1.04),
            grip=grip,
        )

    several = range(chance.integers(6, 14))
    phases = {
        "circuit": lambda: [phase(200, 0.3), *(p for _ in several
                            for p in (phase(45, 0.7, grip=1), phase(80, 0.3)))],
        "fartlek": lambda: [phase(400, 0.5, 150), *(p for _ in several
                            for p in (phase(70, 0.85, 178), phase(120, 0.5, 150)))],
        "steady": lambda: [phase(90, 0.2), phase(1500, 0.65, 165), phase(150, 0.3, 110)],
        "errands": lambda: [*(phase(240, chance.uniform(0.06, 0.24)) for _ in several),
                            phase(120, 0.35, 105), phase(300, 0.12)],
    }[name]()  # fmt: skip
    template = BENCH.activities["strength" if name == "circuit" else "run"]
    return _activity(phases, template, unrest=chance.uniform(0.015, 0.035))


def _activity(phases: list[Phase], like: Activity, unrest: float | None = None) -> Activity:
    return Activity(sport=like.sport, round=tuple(phases), unrest=unrest or like.unrest)


def _share(effort: float) -> float:
    return float(np.clip(effort, 0.02, 1))


def drawn_body(plan: Activity, wearer: Wearer, chance: np.random.Generator, seed: str) -> Body:
    """The demo's body; or one whose heart rate answers in two stages and has slow waves."""
    body = simulated_body(plan, wearer, seed)
    if chance.random() < 0.5:
        return body
    second, size = chance.uniform(3, 9), body.heart_rate_bpm.size
    waves = wandering(size, chance.uniform(0.5, 2), chance.uniform(6, 20), chance)
    rate = first_order(body.heart_rate_bpm, second, second) + uniform_filter1d(waves, 5)
    return Body(np.clip(rate, 40, 215), body.cadence_per_min, body.grip, body.resting_bpm)


def read_strap(body: Body, wearer: Wearer, contact: Contact, by_beats: bool, seed: str) -> Trace:
    """The strap's own averaged rate, or the rate from its RR intervals."""
    size = body.heart_rate_bpm.size
    beats = beat_times(body.heart_rate_bpm, wearer.variability, seed)
    strap = strap_reading(beats, size, STRAP_WINDOW_S, contact, seed)
    if not by_beats:
        return _trace(np.arange(size), strap.heart_rate_bpm)
    kept = flag_beats(strap.rr_ms, Plausibility(), RrIntervals()) == Flag.KEPT
    return _trace(*rate_at_seconds(strap.beat_s, strap.rr_ms, kept, RR_WINDOW_S))


def read_wrist(
    sensor: str, body: Body, chance: np.random.Generator, seed: str
) -> tuple[np.ndarray, Trace]:
    """The response at 1 Hz without error and faults, and what the device stores."""
    if sensor not in BENCH.wrists:
        response, reading = invented_reading(sensor, body, chance)
        first, spare = chance.integers(1, 20, 2)
        return response, _trace(np.arange(reading.size)[first:-spare], reading[first:-spare])
    wrist = BENCH.wrists[sensor]
    seconds = np.arange(body.heart_rate_bpm.size, dtype=float)
    late = np.interp(seconds - wrist.sensor.lag_s, seconds, body.heart_rate_bpm)
    response = first_order(late, wrist.sensor.rise_s, wrist.sensor.fall_s)
    steps = wrist.shortest_step_s, wrist.longest_step_s
    stored = sampled_seconds(seconds.size, *steps, seed, sensor)
    return response, _trace(stored, wrist_reading(body, wrist.sensor, seed).heart_rate_bpm[stored])


def constant_delay(reference: Trace, response: np.ndarray) -> float:
    """By how much the response is late: the shift of least squares, in s."""
    seconds = np.arange(response.size)
    misfit = np.array([
        np.mean((np.interp(reference.time_s + delay, seconds, response) - reference.rate) ** 2)
        for delay in DELAYS
    ])  # fmt: skip
    best = int(np.clip(np.argmin(misfit), 1, DELAYS.size - 2))
    left, middle, right = misfit[best - 1 : best + 2]
    return float(DELAYS[best] + 0.125 * (left - right) / (left - 2 * middle + right))


def _trace(seconds: np.ndarray, rate: np.ndarray) -> Trace:
    known = ~np.isnan(rate)
    return Trace(seconds[known].astype(float), rate[known])


def workout(seconds: int, seed: int) -> np.ndarray:
    """Heart rate in bpm at 1 Hz: first-order response to a new effort every minute."""
    effort = np.random.default_rng(seed).uniform(80, 170, seconds // 60 + 1)
    return first_order(np.repeat(effort, 60)[:seconds], 30, 30)
