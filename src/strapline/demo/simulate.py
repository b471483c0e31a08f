"""A session of the bench as arrays: the truth, and what each device makes of it.

Nothing here touches a file, so that tests and benchmarks can simulate thousands of sessions
and compare what is found with what is known.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from strapline.demo.bench import Bench, Session
from strapline.demo.pace import measured_m, way_m
from strapline.demo.physiology import Body, Floats, beat_times, simulated_body
from strapline.demo.strap import Contact, StrapReading, bad_contact, strap_reading
from strapline.demo.wrist import Fault, sampled_seconds, wrist_reading


@dataclass(frozen=True)
class Trace:
    """What one device stores, by seconds of the session.

    second
        Whole seconds from the session's start, in true time, shape (n,).
    heart_rate_bpm, cadence_per_min
        Whole bpm and steps a minute, shape (n,); NaN where the device has no value.
    """

    second: npt.NDArray[np.int64]
    heart_rate_bpm: Floats
    cadence_per_min: Floats


@dataclass(frozen=True)
class Truth:
    """What nobody at a real bench knows.

    heart_rate_bpm, cadence_per_min
        Truth at 1 Hz from the session's start.
    faults
        By wrist device: what went wrong when, and by how much.
    clock_s
        By device: how far its clock is ahead, in s; subtract it from the file's times.
    strap_contact
        Spans in which the strap lost contact or heard noise.
    """

    heart_rate_bpm: Floats
    cadence_per_min: Floats
    faults: dict[str, tuple[Fault, ...]]
    clock_s: dict[str, int]
    strap_contact: Contact


@dataclass(frozen=True)
class Simulation:
    """Truth, strap and wrist devices of one session; by device, metres gone by each second."""

    truth: Truth
    strap: StrapReading
    traces: dict[str, Trace]
    distance_m: dict[str, Floats]

    @cached_property
    def duration_s(self) -> int:
        return len(self.truth.heart_rate_bpm)


def simulate(bench: Bench, session: Session) -> Simulation:
    """The session, wholly determined by the bench and the session's name."""
    wearer, activity = bench.wearers[session.wearer], bench.activities[session.activity]
    body = simulated_body(activity, wearer, session.name)
    duration_s = activity.duration_s
    beats = beat_times(body.heart_rate_bpm, wearer.variability, session.name)
    contact = Contact()
    if session.bad_strap_contact:
        contact = bad_contact(duration_s, session.name, session.strap)
    window_s = bench.straps[session.strap].window_s
    strap = strap_reading(beats, duration_s, window_s, contact, session.name, session.strap)
    devices = list(session.worn.values())
    read = {device: _worn(bench, session, device, body) for device in devices}
    way = way_m(body, activity.sport, session.name)
    distance_m = {name: measured_m(way, session.name, name) for name in [session.strap, *devices]}
    truth = Truth(
        heart_rate_bpm=body.heart_rate_bpm,
        cadence_per_min=body.cadence_per_min,
        faults={device: faults for device, (_, faults) in read.items()},
        clock_s={name: bench.clock_s(session, name) for name in [session.strap, *devices]},
        strap_contact=contact,
    )
    traces = {device: trace for device, (trace, _) in read.items()}
    return Simulation(truth, strap, traces, distance_m)


def _worn(
    bench: Bench, session: Session, device: str, body: Body
) -> tuple[Trace, tuple[Fault, ...]]:
    wrist = bench.tested(device)
    _, sensor = wrist.on(session.start.date())
    reading = wrist_reading(body, sensor, session.name, device)
    steps = wrist.shortest_step_s, wrist.longest_step_s
    second = sampled_seconds(len(body.heart_rate_bpm), *steps, session.name, device)
    # Steps are felt at the wrist; the turns of the pedals are not.
    steps_felt = bench.activities[session.activity].sport == "running"
    cadence = np.round(body.cadence_per_min[second])
    trace = Trace(
        second=second,
        heart_rate_bpm=reading.heart_rate_bpm[second],
        cadence_per_min=cadence if steps_felt else np.full(len(second), np.nan),
    )
    return trace, reading.faults
