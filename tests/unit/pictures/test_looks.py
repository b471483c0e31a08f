"""Curves of known truth, drawn in many looks, are read as they were drawn."""

import numpy as np
import pytest

from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.pixels import pixels_of
from unit.pictures.looks import BOTTOM_BPM, LOOKS, TOP_BPM, drawn, invented
from unit.pictures.scoring import score

pytestmark = pytest.mark.slow

# Markers hide the line beneath them: so near is it read there.
NEAR = {"with markers": 0.9}


def by_name(name: str):
    return next(look for look in LOOKS if look.name == name)


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
def test_a_curve_is_read_as_it_was_drawn(look) -> None:
    time_s, rate = invented()
    found = score(curve_in(pixels_of(drawn(look, time_s, rate))), time_s, rate, BOTTOM_BPM, TOP_BPM)
    assert found.read >= 0.98
    assert found.near >= NEAR.get(look.name, 0.95)
    assert abs(found.average_bpm) <= 0.5
    assert abs(found.maximum_bpm) <= 1.5


def gap(curve: Curve) -> np.ndarray:
    share = (curve.columns - curve.plot.x0) / curve.plot.width
    return np.isnan(curve.rows[(share > 0.41) & (share < 0.49)])


@pytest.mark.parametrize("name", ["usual", "filled", "filled, with a line", "coloured by zones"])
def test_a_gap_stays_a_gap(name: str) -> None:
    time_s, rate = invented()
    rate[(time_s > 0.4 * time_s[-1]) & (time_s < 0.5 * time_s[-1])] = np.nan
    curve = curve_in(pixels_of(drawn(by_name(name), time_s, rate)))
    assert gap(curve).all()
    assert np.isnan(curve.rows).mean() < 0.13


def test_a_stated_area_and_colour_are_taken_at_their_word() -> None:
    time_s, rate = invented()
    pixels = pixels_of(drawn(by_name("usual"), time_s, rate))
    curve = curve_in(pixels, (71.5, 59.5, 683.5, 339.5), (0xC2, 0x33, 0x4D))
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).holds
