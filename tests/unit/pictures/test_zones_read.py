"""An area that is filled by zones, the lowest of them grey as lines of the grid and labels are."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.axes import Axes

from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.pixels import pixels_of
from unit.pictures.looks import BOTTOM_BPM, TOP_BPM, ZONE_COLOURS, ZONES, Look, drawn, invented
from unit.pictures.scoring import off

AREA = (71.5, 59.5, 683.5, 339.5)
BOUNDS = (BOTTOM_BPM, *ZONES, TOP_BPM)


def stacked(axes: Axes, time: np.ndarray, rate: np.ndarray, colours: tuple[str, ...]) -> None:
    for low, high, colour in zip(BOUNDS, BOUNDS[1:], colours, strict=False):
        axes.fill_between(time, np.clip(rate, low, high), low, where=rate >= low, fc=colour, lw=0)


def by_value(axes: Axes, time: np.ndarray, rate: np.ndarray, colours: tuple[str, ...]) -> None:
    shades = [colours[zone] for zone in np.digitize(rate, ZONES)]
    axes.bar(time, rate - BOTTOM_BPM, 1.05 * np.diff(time)[0], BOTTOM_BPM, color=shades, ec="none")


def labels(axes: Axes, time: np.ndarray) -> None:
    for bpm in range(80, 180, 20):
        for share in (0.01, 0.95):
            axes.text(share * time[-1], bpm, str(bpm), fontsize=8, color="#606870", va="bottom")


def filled(
    fill: Callable, grey: str, over: bool, with_labels: bool, stroke: str | None
) -> Callable:
    def draw(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
        axes.set_axisbelow(not over)
        fill(axes, time, rate, (grey, *ZONE_COLOURS[1:]))
        if stroke:
            axes.plot(time, rate, lw=1.6, color=stroke)
        if with_labels:
            labels(axes, time)

    return draw


@pytest.mark.parametrize(
    ("fill", "grey", "over", "with_labels", "stroke", "dark", "read"),
    [
        # Of the grid a line ends at the curve, where little of it is left to see.
        (stacked, "#8a93a0", False, False, None, True, 0.98),
        # A label stands on the curve.
        (stacked, "#8a93a0", False, True, None, False, 0.96),
        (by_value, "#d0d4da", False, True, None, False, 0.94),
        (by_value, "#40474f", False, True, None, True, 0.96),
        # A stroke is so near the lower edge that the next lines end there.
        (by_value, "#8a93a0", True, True, "#e04040", True, 0.96),
        # So faint that the grid over it is all there is to see.
        (by_value, "#e4e7ea", True, True, None, False, 0.82),
        (stacked, "#e4e7ea", False, False, None, False, 0.86),
    ],
)
def test_nothing_grey_is_taken_for_the_edge_of_a_grey_zone(
    fill, grey, over, with_labels, stroke, dark, read
) -> None:
    time_s, rate = invented()
    draw = filled(fill, grey, over, with_labels, stroke)
    curve = curve_in(pixels_of(drawn(Look("zones", draw, dark=dark), time_s, rate)), AREA)
    apart = np.abs(off(curve, time_s, rate, BOTTOM_BPM, TOP_BPM))
    known = ~np.isnan(apart)
    assert known.mean() >= read
    assert np.mean(apart[known] <= 1) >= 0.95
    assert apart[known].max() <= 3


def test_a_zone_that_ends_below_the_curve_is_no_stroke() -> None:
    """For most of the time the curve is not far above a bound."""
    time_s, rate = invented(seed=23)
    draw = filled(stacked, "#8a93a0", False, False, None)
    curve = curve_in(pixels_of(drawn(Look("zones", draw), time_s, rate)), AREA)
    assert np.nanquantile(np.abs(off(curve, time_s, rate, BOTTOM_BPM, TOP_BPM)), 0.98) <= 1


@pytest.mark.parametrize("look", [{}, {"dark": True}, {"quality": 70}])
def test_a_zone_that_is_thin_for_long_is_no_stroke(look: dict) -> None:
    """The curve stays 4 to 6 bpm, some 12 pixels, above one bound after another."""
    time_s, _ = invented()
    levels = np.array([90, 109, 109, 127, 127, 145, 145, 109, 109])
    wave = 0.6 * np.sin(time_s / 17) + 0.5 * np.sin(time_s / 6.1)
    rate = wave + np.interp(time_s, [0, 80, 400, 430, 800, 830, 1150, 1180, 1470], levels)
    draw = filled(stacked, "#8a93a0", False, False, None)
    curve = curve_in(pixels_of(drawn(Look("thin", draw, **look), time_s, rate)), AREA)
    apart = np.abs(off(curve, time_s, rate, BOTTOM_BPM, TOP_BPM))
    assert np.mean(~np.isnan(apart)) >= 0.98
    assert np.nanquantile(apart, 0.98) <= 1
    assert np.nanmax(apart) <= 3
