"""An axis of an area's own colour goes on where the area ends or pauses, and is no curve."""

from collections.abc import Callable

import numpy as np
import pytest
from matplotlib.axes import Axes

from strapline.ground.records.picture import Picture
from strapline.reading.formats.picture import not_read, resolution
from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.pixels import pixels_of
from unit.pictures.looks import BOTTOM_BPM, TOP_BPM, ZONE_COLOURS, Look, drawn, invented
from unit.pictures.scoring import off
from unit.pictures.test_zones_read import AREA, stacked

TIME_S, RATE = invented()
GREY = ZONE_COLOURS[0]
# Of the whole time; the curve is far above the axis before and after.
ENDS, PAUSES, SHORTLY = (0.6, 1.0), (0.4, 0.6), (0.994, 1.0)
EDGES = Picture(left=TIME_S[0], right=TIME_S[-1], bottom=BOTTOM_BPM, top=TOP_BPM)


def one_colour(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.fill_between(time, rate, BOTTOM_BPM, fc=GREY, lw=0)


def by_zones(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    stacked(axes, time, rate, ZONE_COLOURS)


def with_axis(fill: Callable, thick: float, rate: np.ndarray, **look: object) -> Curve:
    """The curve that is read; the axis is so thick, in pixels."""

    def draw(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
        axes.grid(False)
        axes.spines[:].set_visible(False)
        axes.spines["bottom"].set(visible=True, color=GREY, linewidth=0.72 * thick)
        fill(axes, time, rate)

    return curve_in(pixels_of(drawn(Look("axis", draw, **look), TIME_S, rate)), AREA)


def without(gap: tuple[float, float]) -> np.ndarray:
    passed = TIME_S / TIME_S[-1]
    return np.where((passed > gap[0]) & (passed <= gap[1]), np.nan, RATE)


def within(curve: Curve, gap: tuple[float, float]) -> np.ndarray:
    """A mask of the columns that are in a gap, but for its first, which may be partly filled."""
    place, width = curve.columns - AREA[0], AREA[2] - AREA[0]
    mask: np.ndarray = (place > gap[0] * width + 1) & (place < gap[1] * width)
    return mask


@pytest.mark.parametrize(("thick", "look"), [(4, {"dark": True}), (8, {"quality": 70})])
@pytest.mark.parametrize("gap", [ENDS, PAUSES, SHORTLY])
@pytest.mark.parametrize("fill", [one_colour, by_zones])
def test_an_axis_is_not_read_where_an_area_of_its_colour_is_not(fill, gap, thick, look) -> None:
    rate = without(gap)
    curve = with_axis(fill, thick, rate, **look)
    assert np.isnan(curve.rows[within(curve, gap)]).all()
    # No column that the area fills in part is taken for the axis.
    assert np.nanmax(curve.rows) < AREA[3] - 20
    apart = np.abs(off(curve, TIME_S, rate, BOTTOM_BPM, TOP_BPM))
    assert np.mean(~np.isnan(apart)) >= 0.97 * np.mean(~np.isnan(rate))
    assert np.nanquantile(apart, 0.98) <= 1


def test_the_columns_of_the_axis_are_told_as_without_a_curve() -> None:
    curve = with_axis(one_colour, 4, without(ENDS))
    found = resolution(curve, EDGES)
    assert found.empty == pytest.approx(within(curve, ENDS).sum(), abs=2)
    assert not_read(found) == [f"{found.empty} columns without a curve"]


def test_an_area_is_read_down_to_the_axis_of_its_colour() -> None:
    """Which reaches 4 pixels, less than 2 bpm, into the plot, and may be blurred by another."""
    rate = np.interp(TIME_S, [0, 700, 770, 1470], [120, BOTTOM_BPM + 2, BOTTOM_BPM + 5, 120])
    curve = with_axis(one_colour, 8, rate)
    apart = off(curve, TIME_S, rate, BOTTOM_BPM, TOP_BPM)
    assert np.isnan(apart).sum() <= 25
    assert np.nanmax(np.abs(apart)) <= 1
