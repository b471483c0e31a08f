"""What is drawn beside a curve is not read as the curve, or is left out."""

import numpy as np
import pytest
from matplotlib.axes import Axes

from strapline.reading.pictures.candidates import Runs
from strapline.reading.pictures.curve import Curve, curve_in
from strapline.reading.pictures.dashes import straight
from strapline.reading.pictures.doubts import blotted, islands, notches
from strapline.reading.pictures.heights import Ink
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.strokes import Line, followed
from strapline.reading.pictures.unreadable import UnreadablePicture
from unit.pictures.looks import (
    BOTTOM_BPM,
    TOP_BPM,
    ZONE_COLOURS,
    ZONES,
    Look,
    drawn,
    invented,
)
from unit.pictures.scoring import column_means, score

AREA = (71.5, 59.5, 683.5, 339.5)
RED = "#c2334d"


def laps(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    """In a tint of the curve."""
    for start in range(200, 1400, 300):
        axes.axvspan(start, start + 150, fc="#f8dfe3", ec="none")
    axes.plot(time, rate, lw=1.6, color=RED)


def glow(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    for width in (16, 12, 8, 4):
        axes.plot(time, rate, lw=width, color=RED, alpha=0.1)
    axes.plot(time, rate, lw=1.6, color=RED)


def shadow(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    for width in (7, 5, 3):
        axes.plot(time, rate - 2, lw=width, color="#501020", alpha=0.08)
    axes.plot(time, rate, lw=2.2, color=RED)


def dashed_grid(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.grid(True, color="#aab2bd", lw=1.2, ls=(0, (5, 4)))
    axes.plot(time, rate, lw=1.6, color="#0f9f8f")


def mean_line(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    axes.plot(time, rate, lw=1.6, color=RED)
    axes.axhline(np.nanmean(rate), lw=1.2, color="#505860", ls=(0, (4, 3)))


def shaded(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    shade = np.linspace([1.0, 1.0, 1.0], [0.72, 0.82, 0.95], 256)[None]
    extent = (*axes.get_xlim(), BOTTOM_BPM, TOP_BPM)
    axes.imshow(shade, extent=extent, aspect="auto", zorder=0)
    axes.plot(time, rate, lw=1.6, color="#8a1538")


def bars(axes: Axes, time: np.ndarray, rate: np.ndarray) -> None:
    colours = [ZONE_COLOURS[zone] for zone in np.digitize(rate, ZONES)]
    axes.bar(
        time, rate - BOTTOM_BPM, np.median(np.diff(time)), BOTTOM_BPM, color=colours, ec="none"
    )


@pytest.mark.parametrize("draw", [laps, glow, shadow, dashed_grid, mean_line, shaded])
def test_only_the_curve_is_read(draw) -> None:
    time_s, rate = invented()
    curve = curve_in(pixels_of(drawn(Look("one", draw), time_s, rate)), AREA)
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).holds


def test_bars_of_several_colours_have_no_stroke() -> None:
    """They are as high as they reach, also where lines of the grid end at them."""
    time_s, rate = invented(1800, 23)
    edges = np.linspace(0, 1800, 307)
    bar = np.clip(np.digitize(time_s, edges) - 1, 0, 305)
    time_s, rate = (edges[1:] + edges[:-1]) / 2, np.bincount(bar, rate) / np.bincount(bar)
    curve = curve_in(pixels_of(drawn(Look("bars", bars), time_s, rate)))
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).holds


@pytest.mark.parametrize("opacity", [1.0, 0.6])
def test_a_dashed_line_across_a_pause_is_no_curve(opacity: float) -> None:
    time_s, rate = invented()
    paused = (time_s > 588) & (time_s < 735)

    def bridged(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.plot(time, np.where(paused, np.nan, shown), lw=1.6, color=RED)
        ends = [588, 735]
        axes.plot(ends, shown[ends], lw=1.6, color=RED, ls=(0, (3, 3)), alpha=opacity)

    curve = curve_in(pixels_of(drawn(Look("bridged", bridged), time_s, rate)), AREA)
    share = (curve.columns - curve.plot.x0) / curve.plot.width
    assert np.isnan(curve.rows[(share > 0.41) & (share < 0.49)]).all()
    assert np.isnan(curve.rows[(share < 0.38) | (share > 0.52)]).mean() < 0.02


def test_dashes_of_a_mean_in_the_curves_own_colour_are_no_second_candidate() -> None:
    time_s, rate = invented()

    def both(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.plot(time, shown, lw=2.4, color=RED)
        axes.axhline(np.nanmean(shown), lw=1.6, color=RED, ls=(0, (4, 3)))

    curve = curve_in(pixels_of(drawn(Look("both", both, quality=70), time_s, rate)), AREA)
    assert score(curve, time_s, rate, BOTTOM_BPM, TOP_BPM).holds
    assert curve.is_double.sum() < 0.01 * curve.rows.size


def test_a_stroke_straight_up_is_as_high_as_before_and_then_as_after() -> None:
    time_s, rate = invented()
    steps = rate[np.arange(time_s.size) // 60 * 60]

    def stairs(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.step(time, shown, where="post", lw=2.9, color="#2f6fde")

    curve = curve_in(pixels_of(drawn(Look("stairs", stairs), time_s, steps)), AREA)
    assert np.isnan(curve.rows).mean() < 0.02
    edges = np.append(curve.columns - 0.5, curve.columns[-1] + 0.5)
    seconds = (edges - curve.plot.x0) / curve.plot.width * time_s[-1]
    fine = np.arange(0, time_s[-1] + 0.01, 0.01)
    true = column_means(seconds, fine, steps[np.minimum(fine.astype(int), steps.size - 1)])
    read = TOP_BPM - (curve.rows - curve.plot.y0) * (TOP_BPM - BOTTOM_BPM) / curve.plot.height
    off = np.abs(read - true)
    assert np.mean(off[np.isfinite(off)] <= 1) > 0.97


def drawn_by_a_pen(rows: np.ndarray, thick: float) -> Ink:
    """The ink of a round pen in each column, by the distance of each point from the line."""
    fine = np.linspace(0, rows.size - 1, 40 * rows.size)
    line = np.interp(fine, np.arange(rows.size), rows)
    upper, lower = np.empty(rows.size), np.empty(rows.size)
    for column in range(rows.size):
        aside = np.abs(fine - column)
        near = aside <= thick / 2
        reach = np.sqrt((thick / 2) ** 2 - aside[near] ** 2)
        upper[column], lower[column] = (line[near] - reach).min(), (line[near] + reach).max()
    return Ink((upper + lower) / 2, upper, lower)


@pytest.mark.parametrize(
    "rows",
    [
        [200 + 12 * abs(place - 20) for place in range(40)],
        [200 - 12 * abs(place - 20) for place in range(40)],
        [100.0] * 20 + [160.0] * 20,
        [100 + 3 * place for place in range(40)],
    ],
    ids=["a peak", "a trough", "a step", "a slope"],
)
def test_a_thick_line_is_where_its_pen_was(rows: list[float]) -> None:
    """Where it turns its ink is beside the line, not about it: to half of what it rises in a
    column."""
    true = np.array(rows, float)
    ink = drawn_by_a_pen(true, 7.0)
    assert np.abs(followed(ink).rows - true)[8:-8].max() <= 6.0
    line = Line.along(true, 7.0)
    assert np.abs(line.upper - ink.upper)[8:-8].max() < 1.0


def test_where_there_is_no_ink_there_is_no_line() -> None:
    ink = drawn_by_a_pen(np.array([100.0] * 20 + [160.0] * 20), 7.0)
    for edges in (ink.middles, ink.upper, ink.lower):
        edges[18:22] = np.nan
    assert np.flatnonzero(np.isnan(followed(ink).rows)).tolist() == [18, 19, 20, 21]


def test_a_dot_and_a_ring_at_the_highest_value_are_left_out() -> None:
    tops, bottoms = np.full(400, 100), np.full(400, 104)
    tops[200:217], bottoms[200:217] = 92, 108
    blots = blotted(Runs(tops, bottoms, np.zeros(400, bool), True), 200, 5.0)
    assert blots[203:214].all()
    assert not blots[:195].any() and not blots[222:].any()
    many = np.tile(blots[190:230], 10)
    assert many.mean() > 0.2
    tops, bottoms = np.tile(tops[190:230], 10), np.tile(bottoms[190:230], 10)
    assert not blotted(Runs(tops, bottoms, np.zeros(400, bool), True), 200, 5.0).any()


def test_a_line_of_the_same_hue_under_its_average_is_asked_about() -> None:
    time_s, rate = invented()
    raw = rate + 5 * np.sin(time_s / 14)

    def both(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.plot(time, raw, lw=1.2, color="#efc4cb")
        axes.plot(time, shown, lw=2.4, color=RED)

    pixels = pixels_of(drawn(Look("both", both), time_s, rate))
    with pytest.raises(UnreadablePicture, match=r"A second line .* in \d\d % of the columns"):
        curve_in(pixels, AREA)
    found = score(curve_in(pixels, AREA, (0xC2, 0x33, 0x4D)), time_s, rate, BOTTOM_BPM, TOP_BPM)
    assert found.near >= 0.9


def test_what_is_read_in_one_column_between_others_is_no_line() -> None:
    rows = np.full(40, np.nan)
    rows[3] = rows[20:30] = 100
    assert np.flatnonzero(islands(rows)).tolist() == [3]


def test_a_line_over_an_area_that_goes_up_steeply_is_read_in_its_middle() -> None:
    time_s = np.arange(1471.0)
    rate = np.interp(time_s % 210, [0, 90, 105, 195, 210], [80, 82, 165, 163, 80])

    def both(axes: Axes, time: np.ndarray, shown: np.ndarray) -> None:
        axes.fill_between(time, shown, BOTTOM_BPM, fc=RED, alpha=0.3, ec="none")
        axes.plot(time, shown, lw=2.2, color=RED)

    found = score(
        curve_in(pixels_of(drawn(Look("both", both), time_s, rate)), AREA),
        time_s,
        rate,
        BOTTOM_BPM,
        TOP_BPM,
    )
    assert abs(found.average_bpm) <= 0.5
    assert found.near >= 0.9


def test_a_notch_is_left_out_of_an_area_and_a_step_is_not() -> None:
    rows = np.full(60, 100.0)
    rows[20:22] = 160
    rows[40:] = 160
    assert np.flatnonzero(notches(rows, 400)).tolist() == [20, 21]


def test_dashes_in_one_row_are_a_line_and_those_of_a_curve_are_not() -> None:
    row = [(slice(50, 52), slice(start, start + 8)) for start in range(0, 300, 20)]
    rising = [(slice(start, start + 2), slice(start, start + 8)) for start in range(0, 300, 20)]
    assert straight([*row, None, *rising], (300, 300)) == list(range(1, len(row) + 1))


def unread(curve: Curve) -> int:
    return int(np.isnan(curve.rows).sum())


def test_what_is_left_out_has_one_reason() -> None:
    time_s, rate = invented()
    curve = curve_in(pixels_of(drawn(Look("laps", laps), time_s, rate)), AREA)
    assert not (curve.is_double & curve.is_unsure).any()
    assert unread(curve) >= (curve.is_double | curve.is_unsure).sum()
