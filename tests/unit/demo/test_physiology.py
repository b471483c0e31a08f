"""The body against the textbook: first-order response, and beats that integrate to the rate."""

import numpy as np
import pytest
from scipy.signal import lfilter, step

from strapline.demo.bench import Bench
from strapline.demo.chance import generator
from strapline.demo.physiology import beat_times, first_order, simulated_body, wandering


def test_first_order_response_to_a_step_is_that_of_the_continuous_system() -> None:
    tau = 27.0
    seconds = np.arange(200, dtype=np.float64)
    _, expected = step(([1.0], [tau, 1.0]), T=seconds)
    response = first_order(np.ones(200), rise_s=tau, fall_s=5, start=0.0)
    np.testing.assert_allclose(response, expected, atol=1e-9)


def test_first_order_response_to_any_target_is_that_of_the_digital_filter() -> None:
    target = generator("test").uniform(60, 180, 500)
    keep = np.exp(-1 / 12)
    expected, _ = lfilter([0.0, 1 - keep], [1.0, -keep], target, zi=[target[0]])
    np.testing.assert_allclose(first_order(target, 12, 12), expected, rtol=1e-12)


def test_recovery_has_its_own_time_constant() -> None:
    response = first_order(np.zeros(100), rise_s=5, fall_s=40, start=1.0)
    assert response[40] == pytest.approx(np.exp(-1), rel=1e-9)


def test_no_time_constant_follows_at_the_next_second() -> None:
    np.testing.assert_array_equal(
        first_order(np.array([1.0, 5.0, 2.0, 2.0]), 0, 0), [1.0, 1.0, 5.0, 2.0]
    )


def test_wandering_has_the_stated_deviation_and_memory() -> None:
    noise = wandering(200_000, 3.0, 10.0, generator("test", "noise"))
    assert noise.std() == pytest.approx(3.0, rel=0.05)
    correlation = np.corrcoef(noise[:-10], noise[10:])[0, 1]
    assert correlation == pytest.approx(np.exp(-1), abs=0.05)


@pytest.mark.parametrize("bpm", [50.0, 90.0, 173.0])
def test_beats_of_a_steady_rate_are_evenly_spaced(bpm: float) -> None:
    intervals = np.diff(beat_times(np.full(300, bpm), 0.0, "test"))
    np.testing.assert_allclose(intervals, 60 / bpm, rtol=1e-9)


def test_rr_intervals_integrate_to_the_true_rate(bench: Bench) -> None:
    for session in bench.sessions:
        wearer = bench.wearers[session.wearer]
        body = simulated_body(bench.activities[session.activity], wearer, session.name)
        beats = beat_times(body.heart_rate_bpm, wearer.variability, session.name)
        until = body.heart_rate_bpm[: int(beats[-1]) + 1]
        assert 60 / np.diff(beats).mean() == pytest.approx(until.mean(), rel=0.01)
        for start in range(0, len(until) - 60, 60):
            minute = beats[(beats >= start) & (beats <= start + 60)]
            expected = until[start : start + 61].mean()
            assert 60 / np.diff(minute).mean() == pytest.approx(expected, rel=0.03)


def test_intervals_vary_from_beat_to_beat_less_when_the_heart_is_fast() -> None:
    slow, fast = (np.diff(beat_times(np.full(300, bpm), 0.06, "test")) for bpm in (60.0, 170.0))
    assert slow.std() / slow.mean() > 0.02
    assert slow.std() / slow.mean() > 3 * fast.std() / fast.mean()


def test_heart_rates_stay_between_rest_and_the_wearers_maximum(bench: Bench) -> None:
    for session in bench.sessions:
        wearer = bench.wearers[session.wearer]
        body = simulated_body(bench.activities[session.activity], wearer, session.name)
        assert wearer.resting_bpm <= body.heart_rate_bpm.min()
        assert body.heart_rate_bpm.max() <= wearer.max_bpm
        assert len(body.heart_rate_bpm) == bench.activities[session.activity].duration_s
