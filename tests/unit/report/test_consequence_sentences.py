"""Every number in a sentence, and in the table beside it, is read back from CONSEQUENCES."""

import re

import numpy as np
import pytest

from strapline.ground.records.card import Body, Card
from strapline.ground.records.register import Register
from strapline.ground.settings import Alarm, Effort, Intervals
from strapline.method.consequences.session_consequences import session_consequences
from strapline.method.consequences.told import Told
from strapline.reading.session.inference import describe
from strapline.telling.report.consequence_sentences import sentences, wanting_sentence
from strapline.telling.report.consequences import QUANTITIES, peak_rows, table
from unit.consequences.steps_of_effort import BODY, aligned, ladder

NUMBER = r"([−+]?\d+(?:\.\d+)?)"
RANGE = rf"{NUMBER} \({NUMBER} to {NUMBER}\)"


def number(text):
    return float(text.replace("−", "-"))


def made(seed, body=BODY, noise_bpm=3.0):
    """A workout of rises and falls, on which a device is late, off by chance, and at times gone."""
    random = np.random.default_rng(seed)
    second = np.arange(1500)
    reference = 130 + random.uniform(45, 60) * np.sin(2 * np.pi * second / 300)
    device = np.roll(reference, random.integers(1, 12)) + random.uniform(-8, 8)
    device += random.normal(0, noise_bpm, 1500)
    device[200:260] = np.nan
    intake = describe("s", "S", [], Card(wearer="w", body=body), Register(), "UTC", {})
    settings = Effort(), Alarm(), Intervals(replicates=200)
    return session_consequences(aligned(reference, device), intake, *settings)


def value(frame, quantity, column="device_value"):
    (found,) = frame.loc[(frame["quantity"] == quantity) & frame["at_s"].isna(), column]
    return found


def near(text, expected, to=0.051):
    assert number(text) == pytest.approx(expected, abs=to)


def check_bands(frame, wrong, total, share):
    seconds = value(frame, "wrong_band", "n")
    near(wrong, value(frame, "wrong_band"))
    near(total, seconds / 60)
    near(share, 100 * value(frame, "wrong_band") / (seconds / 60))


def check_alarm(frame, above, missed, invented):
    near(above, value(frame, "above", "reference_value"))
    near(missed, value(frame, "above_missed"))
    near(invented, value(frame, "above_invented"))


def check_loads(frame, *numbers):
    names = [name for name in ("banister", "edwards", "energy") if name in set(frame["quantity"])]
    assert len(numbers) == 2 * len(names)
    for name, shown, true in zip(names, numbers[::2], numbers[1::2], strict=True):
        to = 0.51 if name == "energy" else 0.051
        near(shown, value(frame, name), to)
        near(true, value(frame, name, "reference_value"), to)


def check_recovery(frame, device, reference):
    (row,) = frame[frame["quantity"] == "recovery"].to_dict("records")
    near(device, row["device_value"])
    near(reference, row["reference_value"])


def check_peaks(frame, count, mean, low, high, late=None, late_low=None, late_high=None):
    assert int(count) == value(frame, "peak", "n")
    single = frame.loc[(frame["quantity"] == "peak") & frame["at_s"].notna(), "difference"]
    near(mean, single.mean())
    near(low, single.min())
    near(high, single.max())
    ends = value(frame, "peak_delay", "low"), value(frame, "peak_delay", "high")
    assert (late is not None) == (ends[0] > 0 and ends[1] - ends[0] <= 10)
    if late is not None:
        near(late, value(frame, "peak_delay", "difference"), 0.51)
        near(late_low, ends[0], 0.51)
        near(late_high, ends[1], 0.51)


LOAD = rf"Banister’s load is {NUMBER} instead of {NUMBER}"
ZONES = rf"Edwards’ load is {NUMBER} instead of {NUMBER}"
SENTENCES = {
    rf"Watch put {NUMBER} of {NUMBER} minutes \({NUMBER} %\) in a wrong band of effort\.": (
        check_bands
    ),
    rf"The strap was above the alarm for {NUMBER} min; the device missed {NUMBER} of them and "
    rf"invented {NUMBER}\.": check_alarm,
    rf"By its readings {LOAD}, {ZONES} and the energy is {NUMBER} instead of {NUMBER} kJ\.": (
        check_loads
    ),
    rf"By its readings {LOAD} and {ZONES}\.": check_loads,
    rf"At (\d+) peaks it was off by {RANGE} bpm\.": check_peaks,
    rf"At (\d+) peaks it was off by {RANGE} bpm and came {NUMBER} s later "
    rf"\({NUMBER} to {NUMBER}\)\.": check_peaks,
    rf"In the minute after the hardest effort it fell by {NUMBER} bpm, the strap by {NUMBER} "
    r"bpm\.": check_recovery,
}


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("noise_bpm", [0.1, 3.0])
@pytest.mark.parametrize("body", [BODY, BODY.model_copy(update={"weight_kg": None})])
def test_every_number_in_a_sentence_is_the_tables(seed, body, noise_bpm):
    frame = made(seed, body, noise_bpm)
    told = sentences("Watch", Told.of(frame, "watch"))
    assert len(told) == 5
    for sentence in told:
        matches = [(p, m) for p in SENTENCES if (m := re.fullmatch(p, sentence))]
        assert len(matches) == 1, sentence
        ((pattern, match),) = matches
        SENTENCES[pattern](frame, *match.groups())


def test_a_delay_of_peaks_is_told_where_it_is_sure_alone():
    """With noise, only chance says when a broad peak is highest."""
    for noise_bpm, is_told in ((0.1, True), (3.0, False)):
        frames = [made(seed, noise_bpm=noise_bpm) for seed in range(6)]
        said = [sentences("Watch", Told.of(frame, "watch"))[3] for frame in frames]
        assert any(" s later (" in sentence for sentence in said) == is_told


def test_the_printed_table_is_the_table():
    frame = made(1)
    told = Told.of(frame, "watch")
    rows = {title: cells for title, _, (cells,) in table([("Watch", told)])}
    for name, quantity in QUANTITIES.items():
        amount = told.amounts[name]
        if quantity.title not in rows:
            assert amount.reference_value == amount.device_value == 0
            continue
        reference, device, difference, interval = rows[quantity.title]
        to = 0.51 if name == "energy" else 0.051
        if name != "peak_delay":
            near(reference, amount.reference_value, to)
            near(device, amount.device_value, to)
        near(difference, amount.difference, to)
        ends = re.fullmatch(rf"{NUMBER} to {NUMBER}", interval)
        assert bool(ends) == (not np.isnan(amount.low))
        if ends:
            near(ends[1], amount.low, to)
            near(ends[2], amount.high, to)
    assert not np.isnan(told.amounts["peak"].low)


def test_every_quantity_of_a_session_has_its_place_in_the_printed_table():
    assert {str(name) for name in made(1)["quantity"]} <= set(QUANTITIES)


def test_each_peak_is_printed_when_it_was():
    frame = made(1)
    rows = peak_rows(Told.of(frame, "watch"))
    singles = frame[(frame["quantity"] == "peak") & frame["at_s"].notna()]
    assert len(rows) == len(singles) >= 4
    for (at, true, shown, difference, _), (_, peak) in zip(rows, singles.iterrows(), strict=True):
        minute, second = at.split(":")
        assert 60 * int(minute) + int(second) == peak["at_s"]
        near(true, peak["reference_value"])
        near(shown, peak["device_value"])
        near(difference, peak["difference"])


def test_a_rate_never_passed_is_said_without_numbers_of_it():
    rows = aligned(np.full(120, 90.0), np.full(120, 95.0))
    intake = describe("s", "S", [], Card(body=BODY), Register(), "UTC", {})
    frame = session_consequences(rows, intake, Effort(), Alarm(), Intervals(replicates=200))
    told = sentences("Watch", Told.of(frame, "watch"))
    assert told[1] == "Neither it nor the strap was ever above the alarm."
    assert len(told) == 3  # It had no peak.


def test_what_is_wanting_is_named_by_its_keys():
    assert wanting_sentence(BODY) == ""
    assert wanting_sentence(Body(maximum_bpm=190, sex="female", age_years=40)) == (
        "Not told, because the session’s card lacks keys under body: Banister’s load "
        "(resting_bpm); the energy (weight_kg)."
    )
    assert "the fall after the hardest effort (maximum_bpm or age_years)" in wanting_sentence(
        Body()
    )


def test_a_device_that_was_not_compared_is_not_told_of():
    rows = aligned(ladder(), np.full(900, np.nan))
    intake = describe("s", "S", [], Card(body=BODY), Register(), "UTC", {})
    frame = session_consequences(rows, intake, Effort(), Alarm(), Intervals())
    assert Told.of(frame, "watch") is None
