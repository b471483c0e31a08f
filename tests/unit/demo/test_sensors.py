"""Strap and wrist sensors against the truth they were given."""

import time

import numpy as np
import pytest

from strapline.demo.bench import Bench, Sensor
from strapline.demo.chance import chance_spans, generator, spans_of, within
from strapline.demo.physiology import Body, beat_times
from strapline.demo.simulate import Simulation, simulate
from strapline.demo.strap import Contact, strap_reading
from strapline.demo.wrist import Fault, wrist_reading

STEADY = Body(np.full(900, 140.0), np.full(900, 165.0), np.zeros(900), 55.0)
PERFECT = Sensor(lag_s=0, rise_s=0, fall_s=0, error_bpm=0)


@pytest.fixture(scope="module")
def simulations(bench: Bench) -> list[Simulation]:
    return [simulate(bench, session) for session in bench.sessions]


def test_a_perfect_sensor_reads_the_truth() -> None:
    reading = wrist_reading(STEADY, PERFECT, "test")
    assert reading.faults == ()
    np.testing.assert_array_equal(reading.heart_rate_bpm, 140)


def test_lag_delays_a_ramp_by_its_seconds() -> None:
    ramp = Body(60 + np.arange(100.0), np.zeros(100), np.zeros(100), 55.0)
    late = wrist_reading(ramp, PERFECT.model_copy(update={"lag_s": 7}), "test").heart_rate_bpm
    # One second more: what follows without smoothing follows at the next second.
    np.testing.assert_array_equal(late[20:], ramp.heart_rate_bpm[20:] - 8)


@pytest.mark.parametrize(
    ("update", "kind"),
    [
        ({"cadence_locks_per_hour": 40}, "cadence_lock"),
        ({"stale_per_hour": 40}, "stale"),
        ({"contact_losses_per_hour": 40}, "contact_loss"),
        ({"first_lock_s": 40}, "first_lock"),
    ],
)
def test_a_fault_shows_within_its_spans_and_nowhere_else(
    update: dict[str, float], kind: str
) -> None:
    slope = Body(140 - np.arange(900) / 17.3, np.full(900, 165.0), np.zeros(900), 55.0)
    clean = wrist_reading(slope, PERFECT, "test").heart_rate_bpm
    reading = wrist_reading(slope, PERFECT.model_copy(update=update), "test")
    assert {fault.kind for fault in reading.faults} == {kind}
    spans = [(fault.start_s, fault.end_s) for fault in reading.faults]
    # A lock wears off for some seconds after its span.
    ringing = within([(end, end + 25) for _, end in spans], 900)
    outside = ~within(spans, 900) & ~ringing
    np.testing.assert_array_equal(reading.heart_rate_bpm[outside], clean[outside])
    for fault in reading.faults:
        inside = slice(fault.start_s, fault.end_s)
        error = reading.heart_rate_bpm[inside] - clean[inside]
        if fault.effect_bpm is None:
            assert np.isnan(error).all()
        else:
            assert error.mean() == pytest.approx(fault.effect_bpm, abs=0.6)
            assert abs(fault.effect_bpm) > 0.1


def test_grip_hides_a_share_of_the_rise_above_rest() -> None:
    grip = np.zeros(900)
    grip[300:600] = 1
    body = Body(np.full(900, 155.0), np.zeros(900), grip, 55.0)
    reading = wrist_reading(body, PERFECT.model_copy(update={"grip_loss": 0.3}), "test")
    (fault,) = reading.faults
    assert (fault.kind, fault.start_s, fault.end_s) == ("grip", 300, 600)
    assert fault.effect_bpm is not None
    assert -80 < fault.effect_bpm < -8
    np.testing.assert_array_equal(reading.heart_rate_bpm[:300], 155)
    settled = reading.heart_rate_bpm[400:600]
    assert settled.max() - settled.min() <= 1


def test_no_steps_and_no_lock_onto_them_without_running(
    bench: Bench, simulations: list[Simulation]
) -> None:
    for session, simulation in zip(bench.sessions, simulations, strict=True):
        kinds = {f.kind for faults in simulation.truth.faults.values() for f in faults}
        running = bench.activities[session.activity].sport == "running"
        assert running or "cadence_lock" not in kinds
        for trace in simulation.traces.values():
            assert np.isnan(trace.cadence_per_min).any() != running


def test_faults_of_the_bench_show_in_the_traces(simulations: list[Simulation]) -> None:
    shown = 0
    for simulation in simulations:
        for device, faults in simulation.truth.faults.items():
            for fault in alone(faults):
                error = _error(simulation, device, fault)
                if fault.effect_bpm is None:
                    assert np.isnan(error).all()
                elif abs(fault.effect_bpm) > 8:
                    assert np.sign(np.nanmean(error)) == np.sign(fault.effect_bpm)
                    assert abs(np.nanmean(error)) > 3
                    shown += 1
    assert shown > 40


def test_locked_traces_show_the_cadence(simulations: list[Simulation]) -> None:
    locks = 0
    for simulation in simulations:
        for device, faults in simulation.truth.faults.items():
            for fault in alone(faults):
                if fault.kind == "cadence_lock" and fault.end_s - fault.start_s > 60:
                    trace = simulation.traces[device]
                    late = (trace.second > fault.start_s + 30) & (trace.second < fault.end_s)
                    off = trace.heart_rate_bpm[late] - trace.cadence_per_min[late]
                    assert abs(np.nanmean(off)) < 2
                    locks += 1
    assert locks >= 5


def test_the_devices_have_their_characters(bench: Bench, simulations: list[Simulation]) -> None:
    errors = _mean_errors(bench, simulations)
    for device in bench.wrists:
        assert errors[device, "run"] < errors[device, "strength"]
        assert errors[device, "run"] < errors[device, "ride"]
    assert max(errors["harbour-watch", easy] for easy in ("run", "intervals", "desk")) < 3
    assert errors["harbour-watch", "strength"] > 5
    assert errors["kettle-watch", "intervals"] > 2 * errors["kettle-watch", "run"]
    assert errors["thimble-band", "run"] > 4


def test_a_good_strap_follows_the_truth_within_two_seconds(
    bench: Bench, simulations: list[Simulation]
) -> None:
    for session, simulation in zip(bench.sessions, simulations, strict=True):
        if not session.bad_strap_contact:
            reading = simulation.strap.heart_rate_bpm
            assert np.isnan(reading).sum() <= 3
            assert _lag(reading, simulation.truth.heart_rate_bpm) <= 2
            assert np.nanmean(abs(reading - simulation.truth.heart_rate_bpm)) < 2


def test_bad_contact_loses_and_distorts_beats_where_the_truth_says(
    bench: Bench, simulations: list[Simulation]
) -> None:
    bad = [
        simulation
        for session, simulation in zip(bench.sessions, simulations, strict=True)
        if session.bad_strap_contact
    ]
    assert bad
    for simulation in bad:
        contact, strap = simulation.truth.strap_contact, simulation.strap
        assert contact.lost
        assert contact.noisy
        for start, end in contact.lost:
            assert not ((strap.beat_s > start) & (strap.beat_s < end)).any()
            assert np.isnan(strap.heart_rate_bpm[start + 1 : end]).all()
        noisy = within(contact.noisy, simulation.duration_s)[strap.beat_s.astype(int)]
        change = abs(np.diff(strap.rr_ms)) / strap.rr_ms[:-1] > 0.2
        assert change[noisy[1:]].mean() > 0.2
        assert change[~noisy[1:]].mean() < 0.05


def test_strap_intervals_are_the_differences_of_the_beats() -> None:
    beats = beat_times(np.full(120, 75.0), 0.05, "test")
    reading = strap_reading(beats, 120, 3, Contact(), "test")
    np.testing.assert_array_equal(reading.rr_ms, np.round(1000 * np.diff(beats)))
    np.testing.assert_array_equal(reading.beat_s, beats[1:])


def test_chance_spans_keep_to_what_is_allowed_and_to_their_rate() -> None:
    allowed = within([(100, 200), (500, 50_000)], 60_000)
    spans = chance_spans(allowed, 12, 30, generator("test"))
    assert (within(spans, 60_000) <= allowed).all()
    assert spans == spans_of(within(spans, 60_000))
    # Those that would come too close are left out: somewhat fewer than 12 an hour.
    assert 0.65 < len(spans) / (12 * allowed.sum() / 3600) < 1.1


def test_a_simulation_is_fast_and_repeats(bench: Bench) -> None:
    session = bench.sessions[0]
    began = time.perf_counter()
    first = simulate(bench, session)
    assert time.perf_counter() - began < 0.05
    again = simulate(bench, session).truth
    np.testing.assert_array_equal(first.truth.heart_rate_bpm, again.heart_rate_bpm)
    assert first.truth.faults == again.faults


def alone(faults: tuple[Fault, ...]) -> list[Fault]:
    """Faults that no other one overlaps or closely precedes."""
    return [
        fault
        for fault in faults
        if not any(
            other is not fault and other.start_s < fault.end_s and fault.start_s < other.end_s + 20
            for other in faults
        )
    ]


def _error(simulation: Simulation, device: str, fault: Fault) -> np.ndarray:
    trace = simulation.traces[device]
    inside = (trace.second >= fault.start_s) & (trace.second < fault.end_s)
    return trace.heart_rate_bpm[inside] - simulation.truth.heart_rate_bpm[trace.second[inside]]


def _mean_errors(bench: Bench, simulations: list[Simulation]) -> dict[tuple[str, str], float]:
    collected: dict[tuple[str, str], list[float]] = {}
    for session, simulation in zip(bench.sessions, simulations, strict=True):
        for device, trace in simulation.traces.items():
            error = trace.heart_rate_bpm - simulation.truth.heart_rate_bpm[trace.second]
            mean = float(np.nanmean(abs(error)))
            collected.setdefault((device, session.activity), []).append(mean)
    return {key: float(np.mean(values)) for key, values in collected.items()}


def _lag(reading: np.ndarray, true: np.ndarray) -> int:
    """The delay, in s, at which `reading` is closest to `true`."""
    errors = [np.nanmean(abs(reading[lag + 5 :] - true[5 : len(true) - lag])) for lag in range(8)]
    return int(np.argmin(errors))
