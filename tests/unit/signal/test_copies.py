import numpy as np
import pytest

from intakes import recording, session, strap
from strapline.ground.files import write_model
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.picture import Resolution
from strapline.ground.settings import Alignment, Grid, Reference
from strapline.ground.tables.recordings import CHANNELS, NORMALISED
from strapline.method.signal.copies import is_copy, witnesses
from strapline.method.signal.grid import times_of
from strapline.method.signal.trace import Trace
from strapline.running.stages import align

SECONDS = np.arange(900.0)
RATE = 130 + 30 * np.sin(SECONDS / 60) + np.sin(SECONDS / 7)


def rounded(shift=0, noise=0.0, seed=1):
    values = RATE + np.random.default_rng(seed).normal(0, noise, RATE.size)
    return Trace(SECONDS + shift, np.round(values))


@pytest.mark.parametrize("shift", [-4, 0, 2])
def test_a_received_signal_is_told(shift):
    assert is_copy(rounded(), rounded(shift), 10)


@pytest.mark.parametrize("mean_s", [2, 5, 10, 15])
@pytest.mark.parametrize("shift", [0, 3])
def test_an_averaged_copy_is_one_whichever_side_averages(mean_s, shift):
    strap = rounded(noise=1.5)
    mean = np.convolve(
        np.pad(strap.rate, (mean_s - 1, 0), "edge"), np.full(mean_s, 1 / mean_s), "valid"
    )
    assert is_copy(strap, Trace(SECONDS + shift, np.round(mean)), 10)
    assert is_copy(Trace(SECONDS, np.round(mean)), Trace(SECONDS + shift, strap.rate), 10)


def test_a_very_good_sensor_that_averages_is_no_copy():
    """Half a beat off, which drifts over some seconds, averaged over 10 s as the strap is."""
    error = np.convolve(np.random.default_rng(2).normal(0, 1.5, 909), np.full(10, 0.1), "valid")
    assert 0.3 < error.std() < 0.7
    assert not is_copy(rounded(), Trace(SECONDS, np.round(RATE + error)), 10)


def test_a_few_lost_seconds_do_not_hide_it():
    copy = rounded(1)
    copy.rate[100:115] = 90
    assert is_copy(rounded(), copy, 10)


@pytest.mark.parametrize("noise", [0.6, 1, 3])
def test_a_very_good_sensor_is_no_copy(noise):
    assert not is_copy(rounded(), rounded(noise=noise), 10)


def test_a_perfect_sensor_that_lags_is_no_copy_unless_it_is_the_same():
    # Its own rounding of its own signal: one second in ten comes out otherwise.
    smooth = np.convolve(RATE, np.ones(5) / 5, mode="same")
    assert not is_copy(rounded(), Trace(SECONDS, np.round(smooth + 0.2)), 10)


def test_nothing_is_proved_by_a_short_or_steady_recording():
    for ours, theirs in (
        (Trace(SECONDS, np.full(900, 60.0)), Trace(SECONDS, np.full(900, 60.0))),
        (Trace(SECONDS[:60], RATE[:60]), Trace(SECONDS[:60], RATE[:60])),
        (Trace(SECONDS, RATE), Trace(SECONDS + 5000, RATE)),
        (Trace(SECONDS[:0], RATE[:0]), Trace(SECONDS, RATE)),
    ):
        assert not is_copy(ours, theirs, 10)


def test_a_witness_is_a_device_and_no_copy_of_another():
    """Two files of one watch, and a band that recorded what the watch sent, are one witness."""
    watch, band = rounded(noise=3), rounded(noise=3, seed=2)
    received = Trace(watch.time_s + 2, watch.rate)
    again = ("watch", rounded(noise=1, seed=3))
    assert witnesses([("watch", watch), again, ("band", received)], 10) == [watch]
    assert witnesses([("band", received), ("watch", watch)], 10) == [received]
    assert witnesses([("watch", watch), ("band", band)], 10) == [watch, band]


def normalised(name, trace):
    size = trace.time_s.size
    return NORMALISED.frame(
        {
            "recording": np.full(size, name, dtype=object),
            "ordinal": np.arange(size),
            "time": times_of(trace.time_s),
            "heart_rate_bpm": trace.rate,
            "flag": np.full(size, "kept", dtype=object),
            "artefact_share": np.full(size, np.nan),
        }
    )


def aligned(folder, rates, devices):
    """What the align step says of a strap and these devices, by their rates."""
    told = session(strap(), *devices)
    write_model(folder / "intake.json", told)
    frames = [normalised(name, trace) for name, trace in rates.items()]
    accounts = {name: {"marked_at_s": None} for name in rates}
    NORMALISED.write(NORMALISED.joined(frames), folder / "rates.parquet", recordings=accounts)
    CHANNELS.write(CHANNELS.empty(), folder / "channels.parquet", recordings=[*rates])
    align.run(
        intake=str(folder / "intake.json"),
        recordings=str(folder / "rates.parquet"),
        channels=str(folder / "channels.parquet"),
        clocks=str(folder / "alignment.json"),
        aligned=str(folder / "aligned.parquet"),
        offsets=str(folder / "offsets.parquet"),
        alignment=Alignment(),
        grid=Grid(),
        reference=Reference(),
    )
    return SessionAlignment.model_validate_json((folder / "alignment.json").read_bytes())


def stretches_alone(folder, **devices):
    """Those in which a strap jumps for two minutes away from devices."""
    jumping = rounded()
    jumping.rate[400:520] -= 40
    return len(aligned(folder, {"strap": jumping} | devices, map(recording, devices)).alone)


def test_a_curve_in_a_picture_is_taken_for_no_copy(tmp_path):
    """It is smooth, and drawn no finer than the strap's rate differs from it."""
    rates = {"strap": rounded(), "band": rounded(10)}
    drawn = Resolution(column_s=2, pixel_bpm=0.5, columns=450, empty=0, doubtful=0)
    for resolution, is_taken in ((None, True), (drawn, False)):
        found = aligned(tmp_path, rates, [recording("band", resolution=resolution)])
        assert (found.clocks[0].decision == "copy") == is_taken


def test_only_witnesses_speak_against_the_strap(tmp_path):
    watch, band = rounded(noise=1), rounded(noise=1, seed=2)
    received = Trace(watch.time_s + 2, watch.rate)
    assert stretches_alone(tmp_path, watch=watch, band=band) == 1
    assert stretches_alone(tmp_path, watch=watch, band=received) == 0
