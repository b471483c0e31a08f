"""Curves of known truth, drawn in many looks, are read as they were drawn."""

import numpy as np
import pytest
from matplotlib.axes import Axes

from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.pixels import pixels_of
from unit.pictures.looks import BOTTOM_BPM, LOOKS, TOP_BPM, Look, drawn, invented
from unit.pictures.scoring import score

pytestmark = pytest.mark.slow

AREA = (71.5, 59.5, 683.5, 339.5)
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
    curve = curve_in(pixels, AREA, (0xC2, 0x33, 0x4D))
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).holds


def test_a_filled_curve_is_read_below_a_grid_of_its_background() -> None:
    time_s, rate = invented()

    def under_grid(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.fill_between(time, shown, BOTTOM_BPM, fc="#ee5350", ec="none")
        axes.grid(True, color="#ffffff", lw=1.4)
        axes.set_axisbelow(False)

    curve = curve_in(pixels_of(drawn(Look("under a grid", under_grid), time_s, rate)), AREA)
    found = score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM)
    assert found.read >= 0.97 and found.near >= 0.99


def test_a_line_that_is_steep_nearly_everywhere_is_no_area() -> None:
    time_s = np.arange(1471.0)
    rate = np.interp(time_s % 120, [0, 60, 120], [80, 160, 80])
    steep = Look("steep", lambda axes, time, shown: axes.plot(time, shown, lw=4, color="#8fb2dd"))
    found = score(curve_in(pixels_of(drawn(steep, time_s, rate)), AREA), time_s, rate, 60, 180)
    assert abs(found.average_bpm) <= 0.5 and found.near >= 0.8


def test_a_plot_may_reach_the_edges_of_its_picture() -> None:
    time_s, rate = invented()
    pixels = pixels_of(drawn(by_name("usual"), time_s, rate))[60:341, 72:685]
    curve = curve_in(pixels, (0, 0, pixels.shape[1], pixels.shape[0]))
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).read >= 0.98
