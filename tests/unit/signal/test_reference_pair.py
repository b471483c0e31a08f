import numpy as np
import pytest

import intakes
from strapline.method.signal import reference_pair

GOOD = np.full(100, "", dtype=object)


def doubtful(*span):
    reasons = GOOD.copy()
    reasons[slice(*span)] = "reference_flat"
    return reasons


def compare_references(*given):
    return reference_pair.compare_references(*given, intakes.strap())


def steady(offset=0.0):
    return 120 + 5 * np.sin(np.arange(100) / 10) + offset


def test_two_that_agree():
    found = compare_references(steady(), steady(1), GOOD, GOOD)
    assert found.seconds == 100
    assert found.share_within == 1
    assert found.median_difference_bpm == pytest.approx(1)
    assert found.faulty == "neither"


def test_the_tolerance_itself_is_within():
    assert compare_references(np.full(9, 100.0), np.full(9, 105.0), GOOD[:9], GOOD[:9]).seconds == 9
    found = compare_references(np.full(100, 100.0), np.full(100, 105.0), GOOD, GOOD)
    assert found.share_within == 1
    further = np.full(100, 105.1)
    assert compare_references(np.full(100, 100.0), further, GOOD, GOOD).share_within == 0


def test_the_one_with_its_own_signal_against_it_is_faulty():
    spoilt = steady()
    spoilt[40:60] -= 50
    assert compare_references(spoilt, steady(), doubtful(38, 62), GOOD).faulty == "first"
    assert compare_references(steady(), spoilt, GOOD, doubtful(38, 62)).faulty == "second"
    found = compare_references(spoilt, steady(), doubtful(38, 62), GOOD)
    assert found.share_within == pytest.approx(0.8)


def test_no_verdict_without_grounds():
    spoilt = steady()
    spoilt[40:60] -= 50
    assert compare_references(spoilt, steady(), GOOD, GOOD).faulty == "unclear"
    both = doubtful(38, 62)
    assert compare_references(spoilt, steady(), both, both).faulty == "unclear"
    elsewhere = doubtful(0, 30)
    assert compare_references(spoilt, steady(), elsewhere, GOOD).faulty == "unclear"


def test_missing_seconds_are_not_compared():
    first = steady()
    first[:50] = np.nan
    assert compare_references(first, steady(20), GOOD, GOOD).seconds == 50
    nothing = compare_references(np.full(100, np.nan), steady(), GOOD, GOOD)
    assert nothing.seconds == 0
    assert nothing.share_within is None
    assert nothing.faulty == "unclear"
    empty = np.array([])
    assert compare_references(empty, empty, empty, empty).faulty == "unclear"
