"""Sums over steps of effort of which every minute is known."""

import itertools

import numpy as np
import pytest

from strapline.ground.records.card import Body
from strapline.ground.records.ledger import MaximumHeartRate
from strapline.ground.settings import Intervals
from strapline.method.consequences.load import banister_trimp
from strapline.method.consequences.needs import BANISTER, EDWARDS, ENERGY, wanting
from strapline.method.consequences.needs import MAXIMUM as AS_MAXIMUM
from strapline.method.consequences.sums import Seconds, sums
from unit.consequences.steps_of_effort import BODY, MAXIMUM, ladder

ALARM_BPM = 160


def totals(reference, device, body=BODY):
    known = ~np.isnan(reference) & ~np.isnan(device)
    seconds = Seconds(*(np.where(known, side, np.nan) for side in (reference, device)))
    return {s.quantity: s.totals for s in sums(seconds, MAXIMUM, body, ALARM_BPM)}


def minutes(found):
    return {name.removeprefix("band:"): sides for name, sides in found.items() if "band:" in name}


def test_minutes_in_each_band_are_those_of_the_ladder():
    found = totals(ladder(), ladder())
    assert minutes(found) == {
        "very_light": pytest.approx((5, 5)),
        "light": pytest.approx((4, 4)),
        "moderate": pytest.approx((3, 3)),
        "vigorous": pytest.approx((2, 2)),
        "near_maximal": pytest.approx((1, 1)),
    }
    assert found["wrong_band"] == (0, 0)


def test_a_device_20_beats_low_is_a_band_low_or_more():
    """By hand: 100 is 80, still very light; 120, 140, 170 and 195 are 100, 120, 150 and 175."""
    found = totals(ladder(), ladder() - 20)
    assert {band: device for band, (_, device) in minutes(found).items()} == {
        "very_light": pytest.approx(9),
        "light": pytest.approx(3),
        "moderate": pytest.approx(2),
        "vigorous": pytest.approx(1),
        "near_maximal": 0,
    }
    assert found["wrong_band"] == (0, pytest.approx(10))


def test_time_above_a_rate_is_missed_or_invented():
    reference, device = ladder(), ladder()
    device[-60:] = 150  # the last minute, at 195
    device[:120] = 161  # two of those at 100
    found = totals(reference, device)
    assert found["above"] == (pytest.approx(3), pytest.approx(4))
    assert found["above_missed"] == (0, pytest.approx(1))
    assert found["above_invented"] == (0, pytest.approx(2))


def test_a_rate_is_not_above_itself():
    rate = np.full(60, float(ALARM_BPM))
    assert totals(rate, rate)["above"] == (0, 0)


def test_load_and_energy_of_the_ladder():
    """Zones of 200 bpm begin at 100, 120, 140, 160 and 180: 5 × 1 + 4 × 2 + 3 × 3 + 2 × 4 + 1 × 5.
    Energy in kJ a minute: −55.0969 + 0.6309 r + 0.1988 × 80 + 0.2017 × 40 = 0.6309 r − 31.1249,
    over 5 × 100 + 4 × 120 + 3 × 140 + 2 × 170 + 195 = 1935 beats in 15 min. All by hand."""
    found = totals(ladder(), ladder() - 20)
    assert found[EDWARDS] == (pytest.approx(35), pytest.approx(4 * 1 + 3 * 2 + 2 * 3 + 1 * 4))
    assert found[ENERGY][0] == pytest.approx(0.6309 * 1935 - 15 * 31.1249)
    assert found[ENERGY][1] == pytest.approx(0.6309 * (1935 - 15 * 20) - 15 * 31.1249)
    assert found[BANISTER][0] == pytest.approx(banister_trimp(ladder(), 50, 200, "male").sum())


def test_both_sides_are_summed_over_the_same_seconds():
    device = ladder()
    device[100:400] = np.nan
    found = totals(ladder(), device)
    assert all(true == pytest.approx(shown) for true, shown in found.values())
    assert sum(true for true, _ in minutes(found).values()) == pytest.approx(10)


KEYS = ("maximum_bpm", "resting_bpm", "age_years", "sex", "weight_kg")


@pytest.mark.parametrize("given", list(itertools.product([False, True], repeat=len(KEYS))))
def test_what_is_wanting_is_not_told_and_all_else_is(given):
    body = Body(**{k: getattr(BODY, k) for k, known in zip(KEYS, given, strict=True) if known})
    lacking = wanting(body)
    told = {BANISTER, EDWARDS, ENERGY} & set(totals(ladder(), ladder(), body))
    assert told == {BANISTER, EDWARDS, ENERGY} - set(lacking)
    unknown = {key for key in KEYS if getattr(body, key) is None}
    if {"maximum_bpm", "age_years"} <= unknown:
        unknown.add(AS_MAXIMUM)
    assert all(set(keys) <= unknown for keys in lacking.values())


def interval(reference, device, quantity, intervals=None):
    (one,) = (
        s
        for s in sums(Seconds(reference, device), MaximumHeartRate(200, "stated"), BODY, 160)
        if s.quantity == quantity
    )
    return one.interval(intervals or Intervals(replicates=200, shortest_s=240), "name")


def test_a_load_has_an_interval_around_its_difference_and_a_time_has_none():
    random = np.random.default_rng(1)
    reference = ladder()
    device = reference - 5 + random.normal(0, 4, reference.size)
    found = interval(reference, device, ENERGY)
    difference = 0.6309 / 60 * (device - reference).sum()
    assert found.low < difference < found.high < 0
    assert (found.low + found.high) / 2 == pytest.approx(difference)
    assert np.isnan(interval(reference, device, "band:moderate").low)
    assert np.isnan(interval(reference, device, "wrong_band").low)


def test_no_interval_from_too_few_independent_seconds_or_no_difference():
    reference = ladder()
    drifting = reference + np.linspace(-10, 10, reference.size)
    assert np.isnan(interval(reference, drifting, ENERGY).low)
    assert np.isnan(interval(reference, reference, ENERGY).low)
    assert np.isnan(interval(reference[:5], reference[:5] + np.arange(5), ENERGY).low)
