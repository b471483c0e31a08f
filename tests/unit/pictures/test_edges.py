"""A plot's edges are taken only where the picture confirms them; else the tester is asked."""

import io
import re

import numpy as np
import pytest
from matplotlib.patches import Rectangle
from PIL import Image

from strapline.reading.pictures.curve import curve_in
from strapline.reading.pictures.lines import Line
from strapline.reading.pictures.pixels import pixels_of
from strapline.reading.pictures.scales import even_boxes
from strapline.reading.pictures.unreadable import UncertainPlot
from strapline.running.commands import main
from unit.pictures.looks import BOTTOM_BPM, LOOKS, TOP_BPM, Look, drawn, invented
from unit.pictures.scoring import score

pytestmark = pytest.mark.slow

TIME_S, RATE = invented(1800, 23)
# Where they are in a picture as it is drawn, by the middles of pixels.
AREA = (71.5, 59.5, 683.5, 339.5)


def line(axes, time_s, rate) -> None:
    axes.plot(time_s, rate, lw=1.8, color="#2a6f97")


def without(*sides: str, grid: bool = True):
    def draw(axes, time_s, rate) -> None:
        axes.grid(grid)
        for side in sides:
            axes.spines[side].set_visible(False)
        line(axes, time_s, rate)

    return draw


def in_a_card(axes, time_s, rate) -> None:
    """Of which only the card is framed: it goes 60 pixels further left, and 40 up and down."""
    without("left", "right", "top", "bottom", grid=False)(axes, time_s, rate)
    axes.add_patch(
        Rectangle(
            (-60 / 612, -40 / 280),
            732 / 612 - 0.05,
            360 / 280,
            transform=axes.transAxes,
            fill=False,
            ec="#8090a0",
            lw=1.44,
            clip_on=False,
        )
    )


def on_a_band(axes, time_s, rate) -> None:
    """Framed from 90 to 150 bpm, which the curve leaves."""
    without("left", "right", "top", "bottom", grid=False)(axes, time_s, rate)
    axes.axhspan(90, 150, fc="#ffffff", ec="#303840", lw=1.44, zorder=0)


def tinted_behind(axes, time_s, rate) -> None:
    """From 65 to 175 bpm, which the curve never leaves: no more than a plot's colour could be."""
    without("left", "right", "top", "bottom", grid=False)(axes, time_s, rate)
    axes.tick_params(length=0)
    axes.axhspan(65, 175, fc="#d9f2e0", ec="none", zorder=0)


def outlined_behind(axes, time_s, rate) -> None:
    """Labels of the axis beside it go on above it."""
    without("left", "right", "top", "bottom", grid=False)(axes, time_s, rate)
    low, high = BOTTOM_BPM + 10, TOP_BPM - 5
    corner, wide = (time_s[0], low), time_s[-1] - time_s[0]
    axes.add_patch(Rectangle(corner, wide, high - low, fc="#e7f6ec", ec="#198038", lw=1.44))


def dashed(axes, time_s, rate) -> None:
    axes.grid(True, color="#aab4be", lw=0.8, ls=(0, (4, 4)))
    line(axes, time_s, rate)


UNCERTAIN = {
    "no edges": without("left", "right", "top", "bottom", grid=False),
    "the bottom axis alone": without("left", "right", "top"),
    "two axes": without("right", "top", grid=False),
    "two axes and a grid": without("right", "top"),
    "three sides": without("top", grid=False),
    "a card": in_a_card,
    "a band": on_a_band,
    "a band all around": tinted_behind,
    "an outlined band all around": outlined_behind,
}


@pytest.mark.parametrize("name", UNCERTAIN)
def test_edges_that_nothing_confirms_are_asked_for(name: str) -> None:
    pixels = pixels_of(drawn(Look(name, UNCERTAIN[name]), TIME_S, RATE))
    with pytest.raises(ValueError, match=r"picture\.area"):
        curve_in(pixels)
    curve = curve_in(pixels, AREA, (0x2A, 0x6F, 0x97))
    assert score(curve, TIME_S, RATE, BOTTOM_BPM, TOP_BPM).holds


@pytest.mark.parametrize(
    "look",
    [
        Look("dashed", dashed),
        Look("dashed and dark", dashed, dark=True),
        Look("twice as large, JPEG", line, scale=2.0, quality=70),
        Look("scaled to 0.7", line, form="resized"),
    ],
    ids=lambda look: look.name,
)
def test_edges_are_right_or_asked_for(look: Look) -> None:
    """Ticks and dashes of the grid that go further are no edges."""
    pixels = pixels_of(drawn(look, TIME_S, RATE))
    factor = 0.7 if look.form == "resized" else look.scale
    true = (np.array(AREA) + 0.5) * factor - 0.5
    try:
        plot = curve_in(pixels).plot
    except UncertainPlot:
        assert "dashed" in look.name
    else:
        assert np.abs(np.array([plot.x0, plot.y0, plot.x1, plot.y1]) - true).max() <= 0.5


def test_the_command_shows_where_edges_may_be(tmp_path, monkeypatch, capsys) -> None:
    monkeypatch.chdir(tmp_path)
    look = Look("bottom", UNCERTAIN["the bottom axis alone"])
    (tmp_path / "band.png").write_bytes(drawn(look, TIME_S, RATE))
    assert main(["picture", "band.png"]) == 1
    told = capsys.readouterr().out
    assert "not certain where the plot's edges are" in told
    (area,) = re.findall(r"picture: \{.*, area: \[(.*)\]\}", told)
    assert np.array(area.split(","), float) == pytest.approx(AREA, abs=6)
    shown = pixels_of((tmp_path / "results" / "pictures" / "band.found.png").read_bytes())
    assert (shown == (0, 110, 220)).all(axis=2).any()
    assert main(["picture", "band.png", "--area", *map(str, AREA)]) == 0
    assert "area: [71.5, 59.5, 683.5, 339.5]" in capsys.readouterr().out


def tinted(axes, time_s, rate) -> None:
    without("left", "right", "top", "bottom", grid=False)(axes, time_s, rate)
    axes.tick_params(length=0)
    axes.set_facecolor("#e8f0fb")


@pytest.mark.parametrize(
    "draw",
    [UNCERTAIN["two axes"], UNCERTAIN["three sides"], UNCERTAIN["two axes and a grid"], tinted],
)
def test_axes_and_the_edge_of_a_colour_are_proposed(draw) -> None:
    with pytest.raises(UncertainPlot) as asked:
        curve_in(pixels_of(drawn(Look("proposed", draw), TIME_S, RATE)))
    (box,) = asked.value.boxes
    assert (box.x0, box.y0, box.x1, box.y1) == pytest.approx(AREA, abs=0.6)


def test_what_is_certain_asks_nothing() -> None:
    plot = curve_in(pixels_of(drawn(LOOKS[1], TIME_S, RATE))).plot
    assert (plot.x0, plot.y0, plot.x1, plot.y1) == pytest.approx(AREA, abs=0.1)


@pytest.mark.parametrize("form", ["plain", "resized"])
def test_a_title_over_a_frame_is_no_label_of_an_axis_that_goes_on(form: str) -> None:
    """It begins beside the frame; the frame of a scaled picture fades over some pixels."""

    def titled(axes, time_s, rate) -> None:
        without(grid=False)(axes, time_s, rate)
        axes.text(-0.03, 1.06, "Heart rate on the way", size=16, transform=axes.transAxes)

    factor = 1.7 if form == "resized" else 1.0
    picture = Image.open(io.BytesIO(drawn(Look("titled", titled), TIME_S, RATE))).convert("RGB")
    resized = picture.resize((int(picture.width * factor), int(picture.height * factor)))
    plot = curve_in(np.asarray(resized)).plot
    true = (np.array(AREA) + 0.5) * factor - 0.5
    assert (plot.x0, plot.y0, plot.x1, plot.y1) == pytest.approx(true, abs=0.6)


def test_a_tall_screen_is_no_reason_to_ask() -> None:
    """The plot has an eighth of its height."""
    pixels = pixels_of(drawn(LOOKS[1], TIME_S, RATE))
    tall = np.concatenate([np.full((1900, pixels.shape[1], 3), 255, np.uint8), pixels])
    plot = curve_in(tall).plot
    moved = np.add(AREA, [0, 1900, 0, 1900])
    assert (plot.x0, plot.y0, plot.x1, plot.y1) == pytest.approx(moved, abs=0.1)


def test_a_grid_goes_on_below_lines_that_a_curve_covers() -> None:
    """And as far as the axis, not its ticks."""
    level = [Line(100 + 60 * place, 86, 980, 30) for place in range(4)]
    partly = Line(341, 376, 817, 20)
    last = [Line(460, 86, 980, 30)]
    axis = Line(100, 101, 400, 120)
    (box,) = even_boxes([*level, partly, *last], [axis], tick=30)
    assert (box.x0, box.y0, box.x1, box.y1) == (100, 100, 980, 460)
    shown = Line(341, 40, 1020, 20)
    (box,) = even_boxes([*level, shown], [Line(600, 101, 400, 120)], tick=30)
    assert (box.x0, box.y0, box.x1, box.y1) == (86, 100, 980, 280)
